/* truth.mjs BOXCALL SHOW PAGE=WHO...: what check.mjs compares pages with, from the fix lists. */
import {execFileSync} from "node:child_process";
const [, , boxcall, show, ...pages] = process.argv;
const moments = {};
for (const page of pages) {
  const [file, who] = page.split("=");
  const list = JSON.parse(execFileSync(boxcall, ["fixes", show, "--for", who, "--as", "json"], {maxBuffer: 1 << 28}));
  const shown = (part) => [...part.keep, ...part.items.filter((i) => i.marks > 0)];
  moments[file] = [list, ...list.with].flatMap(shown).flatMap((i) => i.moments.map((m) => m.ms / 1000));
}
console.log(JSON.stringify({moments, own: ["cut", "one"], still: ["none", "one-none"]}));
