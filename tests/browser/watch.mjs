// Opens the live preview of a copy of a job in headless Chromium, changes its records as editors do, and fails where the
// page does not follow, loses its place or a fold, says something on the console, or asks anything of another place.
//
//   node watch.mjs KNEEMARK JOB            a program and a folder with records, among them skerrow/e1/e1-l2.ctr
//
// Prints how long it took from the saved file to the changed page. The browser is CHROMIUM, else /usr/bin/chromium.
import { spawn } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { createRequire } from "node:module";
import { chromium } from "playwright-core";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const [program, job] = process.argv.slice(2).map((path) => resolve(path));
const folder = join(mkdtempSync(join(tmpdir(), "watch-")), "job");
cpSync(job, folder, { recursive: true });
const record = join(folder, "skerrow/e1/e1-l2.ctr");
const text = readFileSync(record, "utf8");

const faults = [];
let passed = 0;
const holds = (is, what) => (is ? (passed += 1) : faults.push(what));

// An editor writes beside the file and renames; another one writes into it.
const save = (text) => {
  writeFileSync(record + "~", text);
  renameSync(record + "~", record);
};

const begun = async (...more) => {
  const child = spawn(program, ["watch", folder, ...more], { stdio: ["ignore", "pipe", "inherit"] });
  let said = "";
  const address = await new Promise((done, fail) => {
    child.stdout.on("data", (part) => {
      said += part;
      const at = said.match(/http:\/\/\S+/);
      if (at) done(at[0]);
    });
    child.on("exit", () => fail(new Error(`ended: ${said}`)));
  });
  child.removeAllListeners("exit");
  return { child, address };
};
const { child: watch, address } = await begun("--annex", "all");

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"],
});
try {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 } });
  const page = await context.newPage();
  page.on("request", (asked) => {
    if (!asked.url().startsWith(address)) faults.push(`request out: ${asked.url()}`);
  });
  const messages = [];
  page.on("console", (message) => messages.push(message.text()));
  page.on("pageerror", (error) => messages.push(error.message));
  page.on("dialog", (dialog) => {
    faults.push(`a dialog opened: ${dialog.message()}`);
    dialog.dismiss();
  });

  await page.goto(address);
  const unit = page.locator("main tbody tr", { hasText: "e1-l2.ctr" });
  holds((await unit.count()) === 1, "the overview does not name the record once");
  await unit.getByRole("link").click();
  await page.waitForSelector("article.ct");
  if (process.env.PICTURES) await page.screenshot({ path: join(process.env.PICTURES, "report.png") });

  // Read somewhere far down, with one fold open.
  await page.locator("main details").first().evaluate((fold) => (fold.open = true));
  const mark = page.locator("main h2").nth(4);
  await mark.evaluate((mark) => scrollTo(0, mark.getBoundingClientRect().top + scrollY - 200));
  const top = () => mark.evaluate((mark) => mark.getBoundingClientRect().top);
  const before = await top();

  const shows = async (what) => {
    await page.waitForFunction((what) => document.querySelector("main").textContent.includes(what), what, { timeout: 5000, polling: "raf" });
  };
  // Saves a further name of who tested, and waits until a page shows it.
  const times = async (page, count) => {
    const took = [];
    for (let n = 1; n <= count; n += 1) {
      const name = `X. Winter ${n}${"z".repeat(n)}.`;
      const changed = text.replace(/^tested by:.*$/gm, `tested by: ${name}`);
      const begun = performance.now();
      save(changed);
      await page.waitForFunction((name) => document.querySelector("main").textContent.includes(name), name, { timeout: 5000, polling: "raf" });
      took.push(performance.now() - begun);
    }
    took.sort((a, b) => a - b);
    return `${took[count >> 1].toFixed(0)} ms in the middle of ${count}, ${took.at(-1).toFixed(0)} ms at most`;
  };
  const took = await times(page, 12);
  holds(Math.abs((await top()) - before) < 3, `the place moved from ${before} to ${await top()}`);
  holds(await page.locator("main details").first().evaluate((fold) => fold.open), "the fold closed");

  // Folds of one name are told apart, and what has the focus keeps it.
  const states = () => page.locator("main details").evaluateAll((all) => all.map((fold) => fold.open));
  await page.locator("main details").evaluateAll((all) => all.forEach((fold, at) => (fold.open = at % 2 === 1)));
  const folded = await states();
  await page.locator("main summary").nth(1).focus();
  save(text.replace(/^tested by:.*$/m, "tested by: Y. Spring"));
  await shows("Y. Spring");
  holds(JSON.stringify(await states()) === JSON.stringify(folded), `folds ${folded} became ${await states()}`);
  const focused = await page.evaluate(() => [...document.querySelectorAll("main summary")].indexOf(document.activeElement));
  holds(focused === 1, `the focus went to summary ${focused}`);

  // More windows than a browser keeps connections.
  const windows = [];
  for (let n = 0; n < 9; n += 1) {
    const other = await context.newPage();
    await other.goto(page.url());
    windows.push(other);
  }
  save(text.replace(/^tested by:.*$/m, "tested by: Z. Summer"));
  for (const other of windows) {
    await other.waitForFunction(() => document.querySelector("main").textContent.includes("Z. Summer"), null, { timeout: 5000 });
    passed += 1;
  }
  // The one that listens for all of them may be any; each of them goes.
  for (const other of windows.splice(0, 8)) await other.close();
  save(text.replace(/^tested by:.*$/m, "tested by: W. Autumn"));
  await shows("W. Autumn");
  await windows[0].close();

  // Quick changes: the last one counts.
  for (let n = 0; n < 30; n += 1) {
    save(text.replace(/^tested by:.*$/m, `tested by: Quick ${n}.`));
    await new Promise((done) => setTimeout(done, 7));
  }
  await shows("Quick 29.");
  await new Promise((done) => setTimeout(done, 300));
  holds((await page.locator("main").textContent()).includes("Quick 29."), "an earlier state came back");

  // The same without annexes.
  const plain = await begun();
  const other = await context.newPage();
  await other.goto(plain.address);
  await other.locator("main tbody tr", { hasText: "e1-l2.ctr" }).getByRole("link").click();
  await other.waitForSelector("article.ct");
  const bare = await times(other, 12);
  await other.close();
  plain.child.kill();

  // Half a file, as it may stand for a moment; then bytes that are no text; then none.
  writeFileSync(record, text.slice(0, text.indexOf("[excitation") + 14));
  await page.waitForSelector("pre.told");
  const told = await page.locator("pre.told").textContent();
  holds(/^error\[.*\n/.test(told) && told.split("\n").every((line) => line.length < 200), `the error is not drawn: ${told}`);
  if (process.env.PICTURES) {
    await page.evaluate(() => scrollTo(0, 0));
    await page.screenshot({ path: join(process.env.PICTURES, "half.png") });
  }
  writeFileSync(record, Buffer.from([0xff, 0xfe, 0, 1, 2, 3]));
  await shows("not-utf8");
  const hostile = `<img src=x onerror=alert(1)></pre><script>alert(2)</script>`;
  save(text.replace(/^id:.*$/m, `id: ${hostile}\n${hostile}`));
  await shows("alert(2)");
  holds((await page.locator("main script, main img").count()) === 0, "hostile text became an element");
  rmSync(record);
  await shows("No such record");
  const refused = (messages) => messages.filter((text) => !text.includes("404"));
  save(text);
  await page.waitForSelector("article.ct");
  holds(refused(messages).length === 0, `console: ${refused(messages).join("; ")}`);

  // What holds for the whole job.
  writeFileSync(join(folder, "skerrow/instruments.toml"), "no = [\n");
  await shows("instruments.toml");
  await page.goto(address);
  // Records that read the file of instruments carry the longest words.
  await shows("is not understood");
  const overview = page.locator("main .wide").first();
  holds(await overview.evaluate((table) => table.scrollWidth <= table.clientWidth), "the overview is wider than its page");
  const row = page.locator("main tbody tr", { hasText: "h09-l1" });
  await row.evaluate((row) => row.scrollIntoView({ block: "center" }));
  const stood = await row.evaluate((row) => row.getBoundingClientRect().top);
  writeFileSync(join(folder, "skerrow/a-new.ctr"), text.replace(/^id:.*$/m, "id: NEW"));
  await shows("a-new.ctr");
  const stands = await row.evaluate((row) => row.getBoundingClientRect().top);
  holds(Math.abs(stands - stood) < 3, `the overview moved from ${stood} to ${stands}`);
  holds((await page.locator("pre.told").textContent()).includes("instruments.toml"), "the overview is silent about it");
  await page.evaluate(axe);
  const violations = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }).then((all) => all.violations));
  holds(violations.length === 0, `axe: ${violations.map((one) => one.help).join("; ")}`);
  if (process.env.PICTURES) await page.screenshot({ path: join(process.env.PICTURES, "overview.png") });

  watch.kill();
  await page.waitForSelector("p.lost");
  passed += 1;
  console.log(`saved to shown, all annexes: ${took}`);
  console.log(`saved to shown: ${bare}`);
} catch (error) {
  faults.push(error.message);
} finally {
  await browser.close();
  watch.kill();
  rmSync(join(folder, ".."), { recursive: true });
}
for (const fault of faults) console.log(`FAULT ${fault}`);
console.log(`${passed} passed, ${faults.length} failed`);
process.exitCode = faults.length === 0 ? 0 : 1;
