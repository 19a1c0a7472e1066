// Holds ucum.csv against an independent library of UCUM: each code is one, and is as many of the unit that values are
// kept in as the program says.
import { readFileSync } from "node:fs";
import lhc from "@lhncbc/ucum-lhc";

const ucum = lhc.UcumLhcUtils.getInstance();
const list = readFileSync(new URL("ucum.csv", import.meta.url), "utf8").trim().split("\n").slice(1);
const wrong = [];
for (const [unit, code, kept, factor] of list.map((line) => line.split(","))) {
  const is = ucum.validateUnitString(code).status;
  const size = ucum.convertUnitTo(code, 1, kept);
  // One degree Fahrenheit is no factor.
  const expected = factor === "" ? (1 - 32) / 1.8 : Number(factor);
  const isNear = Math.abs(size.toVal / expected - 1) < 1e-12;
  if (is !== "valid" || size.status !== "succeeded" || !isNear) wrong.push([unit, code, is, size.toVal, expected]);
}
if (wrong.length > 0 || list.length === 0) {
  console.error(wrong);
  process.exit(1);
}
console.log(`${list.length} units have the codes and sizes of UCUM`);
