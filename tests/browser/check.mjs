// Opens every page of a built pack in headless Chromium and fails on: a console message, a request
// that leaves the page and the files attached to it, horizontal overflow at 390 or 1280 px, text that runs out of its cell, headings out of order, an
// accessibility violation (axe-core), hostile text that became an element, or a chart's text on a line.
//
//   node check.mjs FOLDER...            pages below the folders
//
// The browser is CHROMIUM, else /usr/bin/chromium.
import { existsSync, readdirSync, statSync, readFileSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { createRequire } from "node:module";
import { chromium } from "playwright-core";
import { chartFaults } from "./charts.mjs";

const require = createRequire(import.meta.url);
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const WIDTHS = [390, 1280];
const AXE_LIMIT = 1_500_000; // bytes; axe walks every node, so the whole-pack page gets it once only

function pages(folder) {
  return readdirSync(folder)
    .sort()
    .map((name) => join(folder, name))
    .flatMap((path) => (statSync(path).isDirectory() ? pages(path) : path.endsWith(".html") ? [path] : []));
}

const faults = [];
let checked = 0;
let charts = 0;
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
  ],
});

// What a page may show besides itself: the copies of attached files that lie in its pack.
function attachedBeside(path) {
  const folder = [dirname(path), dirname(dirname(path))].map((at) => join(at, "attached")).find((at) => existsSync(at));
  return new Set(folder ? readdirSync(folder).map((name) => pathToFileURL(resolve(folder, name)).href) : []);
}

async function check(path, width, scheme) {
  const fault = (what) => faults.push(`${path} at ${width} px, ${scheme}: ${what}`);
  const context = await browser.newContext({
    viewport: { width, height: 900 },
    colorScheme: scheme,
    bypassCSP: true,
  });
  const page = await context.newPage();
  const own = pathToFileURL(resolve(path)).href;
  page.on("console", (message) => fault(`console: ${message.text()}`));
  page.on("pageerror", (error) => fault(`script error: ${error.message}`));
  const attached = attachedBeside(path);
  page.on("request", (request) => {
    const url = request.url();
    if (url !== own && !url.startsWith("data:") && !attached.has(url)) fault(`request out: ${url}`);
  });
  page.on("dialog", (dialog) => {
    fault(`a dialog opened: ${dialog.message()}`);
    dialog.dismiss();
  });
  await page.goto(own, { waitUntil: "load" });
  const seen = await page.evaluate(() => {
    const root = document.documentElement;
    const wide = [...document.querySelectorAll("body *")]
      .filter((e) => !e.closest(".scroll, svg, details:not([open]) > *:not(summary)"))
      .filter((e) => e.getBoundingClientRect().right > root.clientWidth + 1)
      .slice(0, 3)
      .map((e) => `${e.tagName.toLowerCase()}.${e.className} ends at ${Math.round(e.getBoundingClientRect().right)}`);
    const levels = [...document.querySelectorAll("h1, h2, h3, h4, h5, h6")].map((h) => Number(h.tagName[1]));
    const jump = levels.findIndex((level, i) => (i === 0 ? level !== 1 : level > levels[i - 1] + 1));
    const cells = [...document.querySelectorAll("th, td")].filter((e) => !e.closest("details:not([open]) > *:not(summary)"));
    return {
      beyond: (root.clientWidth < 600 ? [] : cells) // narrow pages scroll their tables
        .filter((e) => e.scrollWidth > e.clientWidth + 1)
        .slice(0, 3)
        .map((e) => e.textContent.trim().slice(0, 40)),
      overflow: root.scrollWidth - root.clientWidth,
      wide,
      ones: levels.filter((level) => level === 1).length,
      jump,
      jumpText: jump < 0 ? "" : document.querySelectorAll("h1, h2, h3, h4, h5, h6")[jump].textContent.trim(),
      scripts: document.querySelectorAll("script, iframe, object, embed, base, form").length,
      unseen: [...document.images].filter((e) => e.complete && e.naturalWidth === 0).map((e) => e.alt),
      lang: root.lang,
      title: document.title,
      handlers: [...document.querySelectorAll("*")].filter((e) => [...e.attributes].some((a) => a.name.startsWith("on"))).length,
    };
  });
  if (seen.overflow > 0) fault(`overflows by ${seen.overflow} px: ${seen.wide.join("; ")}`);
  if (seen.beyond.length > 0) fault(`text runs out of its cell: ${seen.beyond.join("; ")}`);
  if (seen.ones !== 1) fault(`${seen.ones} h1 headings`);
  if (seen.jump >= 0) fault(`heading out of order: "${seen.jumpText}"`);
  if (seen.scripts > 0) fault(`${seen.scripts} active elements`);
  if (seen.unseen.length > 0) fault(`pictures that do not show: ${seen.unseen.join("; ")}`);
  if (seen.handlers > 0) fault(`${seen.handlers} elements with event handlers`);
  if (!seen.lang || !seen.title) fault("no lang or no title");
  const once = width === 1280 && (scheme === "light" || statSync(path).size > AXE_LIMIT); // same tree, same colours as at 390 px
  if (!once) {
    await page.evaluate(axe);
    const result = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
    for (const violation of result.violations) {
      fault(`axe ${violation.id} (${violation.nodes.length}): ${violation.help}; first: ${violation.nodes[0].html.slice(0, 160)}`);
    }
  }
  if (width === 1280 && scheme === "light") {
    const drawn = await page.evaluate(chartFaults); // shrinking scales text and lines alike
    charts += drawn.charts;
    drawn.faults.forEach(fault);
  }
  await context.close();
  checked += 1;
}

const folders = process.argv.slice(2);
const all = folders.flatMap(pages);
if (all.length === 0) faults.push(`no pages below ${folders.join(", ")}`);
const views = all.flatMap((path) => [...WIDTHS.map((width) => [path, width, "light"]), [path, 1280, "dark"]]);
const next = views[Symbol.iterator]();
const work = async () => {
  for (const view of next) await check(...view);
};
await Promise.all([work(), work(), work()]);
await browser.close();
for (const fault of faults) console.log(`FAULT ${fault}`);
console.log(`${all.length} pages, ${checked} views, ${charts} charts`);
console.log(`${checked - Math.min(checked, faults.length)} passed, ${faults.length} failed`);
process.exitCode = faults.length === 0 ? 0 : 1;
