// Keeps a page as its record is: when that changes, the page is fetched again and what is being read stays in its place.
"use strict";
{
  let shown = document.currentScript.dataset.version;
  let source;

  const folds = () => [...document.querySelectorAll("main details")];
  const name = (fold) => fold.querySelector("summary").textContent;
  const marks = () => [...document.querySelectorAll("main [id]")].filter((mark) => mark.getClientRects().length > 0);

  // The last heading that begins above the middle of the window, and where it stands there.
  const place = () => {
    const above = marks().filter((mark) => mark.getBoundingClientRect().top < innerHeight / 2);
    const mark = above.at(-1);
    return mark && scrollY > 0 ? { id: mark.id, top: mark.getBoundingClientRect().top } : undefined;
  };

  const lost = (is) => {
    document.querySelector("p.lost")?.remove();
    if (!is) return;
    const said = document.createElement("p");
    said.className = "lost";
    said.setAttribute("role", "status");
    said.textContent = "The preview has ended: this page no longer follows its record.";
    document.querySelector("main").prepend(said);
  };

  const renew = async (version) => {
    const answer = await fetch(location.pathname, { cache: "no-store" });
    const next = new DOMParser().parseFromString(await answer.text(), "text/html");
    const open = new Map(folds().map((fold) => [name(fold), fold.open]));
    const at = place();
    const main = next.querySelector("main");
    document.title = next.title;
    document.querySelector("main").replaceChildren(...main.childNodes);
    for (const fold of folds()) fold.open = open.get(name(fold)) ?? fold.open;
    const mark = at && document.getElementById(at.id);
    if (mark) scrollBy({ top: mark.getBoundingClientRect().top - at.top, behavior: "instant" });
    shown = version;
    document.documentElement.dataset.version = version;
  };

  const follow = () => {
    source?.close();
    if (document.hidden) return; // a browser keeps few connections, and has many windows
    source = new EventSource("/changes");
    source.onmessage = ({ data }) => {
      lost(false);
      if (data !== shown) renew(data).catch(() => lost(true));
    };
    source.onerror = () => lost(true);
  };
  document.addEventListener("visibilitychange", follow);
  follow();
}
