// Keeps a page as its record is: when that changes, the page is fetched again, and what is being read stays in its place.
"use strict";
{
  const LATER = 1000; // ms
  let shown = document.currentScript.dataset.version;
  let wanted = shown;
  let busy = false;

  const main = () => document.querySelector("main");
  const all = (what) => [...main().querySelectorAll(what)];

  // Folds by what stands on them, the second of a name as the second.
  const folds = () => {
    const seen = new Map();
    return all("details").map((fold) => {
      const name = fold.querySelector("summary").textContent;
      seen.set(name, (seen.get(name) ?? 0) + 1);
      return [`${name} ${seen.get(name)}`, fold];
    });
  };

  // Headings and rows, each by a name of its own.
  const name = (mark) => mark.id || mark.querySelector("a")?.getAttribute("href");
  const marks = () => all("[id], tbody tr").filter((mark) => name(mark) && mark.getClientRects().length > 0);

  // The last of them that begins above the middle of the window, and where it stands there.
  const place = () => {
    const above = marks().filter((mark) => mark.getBoundingClientRect().top < innerHeight / 2);
    const mark = above.at(-1);
    return mark && scrollY > 0 ? { name: name(mark), top: mark.getBoundingClientRect().top } : undefined;
  };

  const FOCUS = "a, summary, [tabindex]";

  const put = (next) => {
    const open = new Map(folds().map(([name, fold]) => [name, fold.open]));
    const at = place();
    const focus = all(FOCUS).indexOf(document.activeElement);
    document.title = next.title;
    main().replaceChildren(...next.querySelector("main").childNodes);
    for (const [name, fold] of folds()) fold.open = open.get(name) ?? fold.open;
    const mark = at && marks().find((mark) => name(mark) === at.name);
    if (mark) scrollBy({ top: mark.getBoundingClientRect().top - at.top, behavior: "instant" });
    if (focus >= 0) all(FOCUS)[focus]?.focus({ preventScroll: true });
  };

  const lost = (is) => {
    document.querySelector("p.lost")?.remove();
    if (!is) return;
    const said = document.createElement("p");
    said.className = "lost";
    said.setAttribute("role", "status");
    said.textContent = "The preview does not answer: this page no longer follows its record.";
    main().prepend(said);
  };

  // One at a time, and what is fetched says itself which state it is of.
  const renew = async () => {
    if (busy) return;
    busy = true;
    try {
      while (shown !== wanted) {
        const answer = await fetch(location.pathname, { cache: "no-store" });
        if (answer.status >= 500) throw new Error(answer.statusText);
        const next = new DOMParser().parseFromString(await answer.text(), "text/html");
        put(next);
        const before = shown;
        shown = next.querySelector("script[data-version]").dataset.version;
        if (shown === before) break;
      }
      lost(false);
    } catch {
      lost(true);
      setTimeout(renew, LATER);
    } finally {
      busy = false;
    }
  };

  const take = (version) => {
    wanted = version;
    if (shown !== wanted) renew();
    else lost(false);
  };

  // A browser keeps few connections to one place: of all its windows one listens, and tells the others.
  const others = new BroadcastChannel("changes");
  let told;
  others.onmessage = ({ data }) => {
    if (data.asks) told && others.postMessage(told);
    else if (data.lost) lost(true);
    else take(data.version);
  };
  const tell = (what) => {
    told = what;
    others.postMessage(what);
  };
  const listen = () => {
    const source = new EventSource("/changes");
    source.onmessage = ({ data }) => {
      tell({ version: data });
      take(data);
    };
    source.onerror = () => {
      tell({ lost: true });
      lost(true);
      if (source.readyState === EventSource.CLOSED) setTimeout(listen, LATER);
    };
  };
  navigator.locks.request("changes", () => {
    listen();
    return new Promise(() => {}); // as long as the window is there
  });
  others.postMessage({ asks: true });
}
