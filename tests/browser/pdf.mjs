// Reads the objects of a printed pack, through qpdf, and fails on what a reader for the blind, or one who
// follows a link, would miss:
//
//   pdf.mjs PACK.pdf FOLDER      FOLDER has the text of each page in a file named by its number
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";

const [file, texts] = process.argv.slice(2);
const json = execFileSync(
  "qpdf",
  ["--json=2", "--json-stream-data=inline", "--decode-level=generalized", "--warning-exit-0", file],
  { maxBuffer: 2 ** 31 - 1 },
);
const read = JSON.parse(json);
const objects = read.qpdf[1];
const faults = new Map();
const fault = (what, where) => faults.set(what, [...(faults.get(what) ?? []), where]);
const isReference = (value) => typeof value === "string" && /^\d+ \d+ R$/.test(value);
// What a value stands for; a reference to nothing is null.
const at = (value) => {
  if (!isReference(value)) return value;
  const object = objects[`obj:${value}`];
  return object?.value ?? object?.stream?.dict ?? null;
};
const list = (value) => (at(value) == null ? [] : Array.isArray(at(value)) ? at(value) : [value]);
const slug = (text) => text.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-");

const catalog = at(at(objects.trailer.value)["/Root"]);
const pages = read.pages.map((page) => page.object);
const number = new Map(pages.map((page, i) => [page, i + 1]));
const words = pages.map((_, i) => slug(readFileSync(join(texts, String(i + 1)), "utf8")));

if (!/^u:[a-z]/.test(catalog["/Lang"] ?? "")) fault("the file states no language", "catalogue");
if (at(catalog["/MarkInfo"])?.["/Marked"] !== true) fault("the file is not marked as tagged", "catalogue");
if (at(catalog["/ViewerPreferences"])?.["/DisplayDocTitle"] !== true) fault("the title is not shown", "catalogue");

// A tree of numbers or names: sorted, without doubles, within the limits of its leaves.
function tree(root, key) {
  const pairs = [];
  const walk = (node) => {
    const own = list(at(node)[key]);
    const limits = at(node)["/Limits"];
    if (limits && own.length > 0 && (own[0] !== limits[0] || own.at(-2) !== limits[1])) fault("limits of a leaf are wrong", node);
    for (let i = 0; i + 1 < own.length; i += 2) pairs.push([own[i], own[i + 1]]);
    list(at(node)["/Kids"]).forEach(walk);
  };
  if (root) walk(root);
  for (let i = 1; i < pairs.length; i += 1) {
    if (!(pairs[i - 1][0] < pairs[i][0])) fault(`${key} are not sorted, or double`, pairs[i][0]);
  }
  return new Map(pairs);
}

// The tags: one document, every tag within it, its parent knows it.
const root = at(catalog["/StructTreeRoot"]);
const top = list(root["/K"]);
if (top.length !== 1 || at(top[0])["/S"] !== "/Document") fault("the tags are not one document", top.length);
const known = new Set();
const standard = new Set(
  ("Document Part Art Sect Div BlockQuote Caption TOC TOCI Index NonStruct Private P H H1 H2 H3 H4 H5 H6 L LI Lbl LBody " +
    "Table TR TH TD THead TBody TFoot Span Quote Note Reference BibEntry Code Link Annot Figure Formula Form").split(" "),
);
const roles = at(root["/RoleMap"]) ?? {};
const ids = tree(root["/IDTree"], "/Names");
const headings = [];
const onPages = new Set();
const links = new Map();
let tables = 0;
let figures = 0;
const marked = new Map(); // page -> numbers of marked content that a tag has
const mark = (page, mcid) => marked.set(page, (marked.get(page) ?? new Set()).add(mcid));
function walk(reference, parent, page) {
  const tag = at(reference);
  if (tag == null) return fault("a tag is missing", reference);
  if (known.has(reference)) return fault("a tag stands twice in the tree", reference);
  known.add(reference);
  if (tag["/P"] !== parent) fault("a tag names another parent", reference);
  const name = tag["/S"].slice(1);
  const own = tag["/Pg"] ?? page;
  if (own && !number.has(own)) fault("a tag names a page that is none", reference);
  if (!standard.has(name) && !standard.has(roles[`/${name}`]?.slice(1))) fault(`no reader knows the tag ${name}`, reference);
  if (/^H[1-6]$/.test(name)) headings.push(Number(name[1]));
  if (name === "Figure") {
    figures += 1;
    if (!tag["/Alt"]) fault("a figure has no words in its place", `page ${number.get(own)}`);
  }
  const attributes = list(tag["/A"]).map(at);
  if (name === "TH" && !attributes.some((a) => a["/Scope"])) fault("a head of a table has no scope", reference);
  for (const head of attributes.flatMap((a) => list(a["/Headers"]))) {
    if (!ids.has(head)) fault("a cell names a head that is none", head);
  }
  if (tag["/ID"] && ids.get(tag["/ID"]) !== reference) fault("a name leads to another tag", tag["/ID"]);
  let heads = 0;
  const count = (kid) => {
    const below = at(kid);
    if (below?.["/S"] === "/TH") heads += 1;
    if (["/TR", "/THead", "/TBody"].includes(below?.["/S"])) list(below["/K"]).forEach(count);
  };
  if (name === "Table") {
    tables += 1;
    list(tag["/K"]).forEach(count);
    if (heads === 0) fault("a table has no heads", `page ${number.get(own)}`);
  }
  for (const kid of list(tag["/K"])) {
    if (typeof kid === "number") {
      onPages.add(own);
      mark(own, kid);
      continue;
    }
    const below = at(kid);
    if (below?.["/Type"] === "/MCR") mark(below["/Pg"] ?? own, below["/MCID"]);
    else if (below?.["/Type"] === "/OBJR") links.set(below["/Obj"], reference);
    else walk(kid, reference, own);
  }
}
walk(top[0], catalog["/StructTreeRoot"]);
headings.forEach((level, i) => {
  if (i === 0 ? level !== 1 : level > headings[i - 1] + 1) fault("a heading leaves out a level", `heading ${i + 1}`);
});
for (const [name, tag] of ids) if (at(tag)?.["/ID"] !== name) fault("a name leads to no tag of that name", name);

// Every page: its drawing tagged or marked, and the tags of its numbers.
const parents = tree(root["/ParentTree"], "/Nums");
const keys = [];
for (const [i, page] of pages.entries()) {
  const where = `page ${i + 1}`;
  if (!onPages.has(page)) fault("a page has no tag", where);
  const key = at(page)["/StructParents"];
  keys.push(key);
  const tags = list(parents.get(key));
  if (tags.length === 0) fault("a page does not find its tags", where);
  const drawing = list(at(page)["/Contents"]).map((stream) => Buffer.from(objects[`obj:${stream}`].stream.data, "base64").toString("latin1"));
  let depth = 0;
  for (const line of drawing.join("\n").split("\n")) {
    const mcid = /<<.*\/MCID (\d+)/.exec(line);
    if (mcid) {
      const tag = tags[Number(mcid[1])];
      if (!known.has(tag)) fault("marked content has no tag", `${where}, ${mcid[1]}`);
      else if (!marked.get(page)?.has(Number(mcid[1]))) fault("a tag does not know its content", `${where}, ${mcid[1]}`);
    }
    if (/B[DM]C$/.test(line)) depth += 1;
    if (/(^|\s)EMC$/.test(line)) depth -= 1;
    if (depth === 0 && /(^|\s)(Tj|TJ|'|"|f|f\*|F|S|s|B|B\*|b|b\*|Do|sh)$/.test(line)) fault("a page draws what is neither tagged nor marked", where);
    if (depth < 0) fault("marked content ends before it began", where);
  }
  if (depth !== 0) fault("marked content does not end", where);
}

// Every link: words, a tag, and a goal that is the heading it names.
const goals = new Map(Object.entries(at(catalog["/Dests"]) ?? {}).map(([name, goal]) => [name.slice(1), at(goal)]));
for (const [name, goal] of goals) if (!number.has(goal[0])) fault("an anchor lies on no page", name);
const led = new Set();
let inner = 0;
for (const page of pages) {
  for (const link of list(at(page)["/Annots"])) {
    const where = `page ${number.get(page)}, ${link}`;
    const annotation = at(link);
    if (annotation["/Subtype"] !== "/Link") continue;
    if (!annotation["/Contents"]) fault("a link has no words", where);
    keys.push(annotation["/StructParent"]);
    const tag = parents.get(annotation["/StructParent"]);
    if (!known.has(tag) || links.get(link) !== tag) fault("a link has no tag", where);
    const name = typeof annotation["/Dest"] === "string" ? annotation["/Dest"].replace(/^\/|^u:/, "") : null;
    if (name === null) {
      const address = at(annotation["/A"])?.["/URI"] ?? "";
      if (!/^[ub]:(https?:|mailto:)/.test(address)) fault("a link leads nowhere", `${where} ${address}`);
      continue;
    }
    inner += 1;
    const goal = goals.get(name);
    if (!goal) {
      fault("a link leads to no anchor", `${where} ${name}`);
      continue;
    }
    led.add(name);
    if (annotation["/Contents"] !== `u:Page ${number.get(goal[0])}`) fault("a link's words name another page", `${where} ${annotation["/Contents"]}`);
    const heading = slug(name.replace(/^page--((ct|bay)--)?/, ""));
    if (name !== "page--index" && !words[number.get(goal[0]) - 1].includes(heading)) fault("a link leads to a page without its heading", `${where} ${name}`);
  }
}
if (new Set(keys).size !== keys.length) fault("two pages or links have one number", keys.length - new Set(keys).size);

// The outline: every entry leads to a page that has its title.
let entries = 0;
const outline = (entry) => {
  entries += 1;
  const page = number.get(entry.dest?.[0]);
  if (!page) fault("an entry of the outline leads to no page", entry.title);
  else if (!words[page - 1].includes(slug(entry.title))) fault("an entry of the outline leads to a page without its title", `${entry.title}: page ${page}`);
  entry.kids.forEach(outline);
};
read.outlines.forEach(outline);
if (read.outlines.length !== 1) fault("the outline has not one beginning", read.outlines.length);
if (entries !== headings.length) fault("outline and headings differ in number", `${entries}, ${headings.length}`);

for (const [what, where] of faults) console.log(`FAULT ${what} (${where.length}): ${where.slice(0, 3).join("; ")}`);
console.log(
  `${pages.length} pages, ${known.size} tags, ${tables} tables, ${figures} figures, ${inner} links to ${led.size} anchors, ${entries} outline entries: ${faults.size} faults`,
);
process.exitCode = faults.size === 0 ? 0 : 1;
