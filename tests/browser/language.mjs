// Whether the catalogue of a PDF states a language: language.mjs FILE.pdf
import { readFileSync } from "node:fs";
import { inflateSync } from "node:zlib";

const bytes = readFileSync(process.argv[2]);
let at = 0;
let told = bytes.includes("/Lang (en)") || bytes.includes("/Lang(en)");
// What is not an image lies in compressed streams of objects.
while (!told && (at = bytes.indexOf("/ObjStm", at)) >= 0) {
  const from = bytes.indexOf("stream", at) + "stream".length;
  const start = bytes[from] === 13 ? from + 2 : from + 1;
  const objects = inflateSync(bytes.subarray(start, bytes.indexOf("endstream", start)));
  told = /\/Type ?\/Catalog/.test(objects) && /\/Lang ?\(en\)/.test(objects);
  at = start;
}
process.exit(told ? 0 : 1);
