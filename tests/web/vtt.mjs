/* vtt.mjs FOLDER...: the captions beside the pages and those within them, through a parser that is not
 * a browser's (npm: webvtt-parser). Prints what is wrong; exits 1 then. */
import fs from "node:fs";
import path from "node:path";
import webvtt from "webvtt-parser";

let read = 0, failed = 0;

function look(text, what) {
  const {cues, errors} = new webvtt.WebVTTParser().parse(text, "metadata");
  read += cues.length;
  if (!errors.length && cues.length) return;
  failed++;
  console.log(`${what}: ${cues.length} captions, ${errors.map((e) => `${e.line}: ${e.message}`).join("; ")}`);
}

for (const folder of process.argv.slice(2)) {
  for (const file of fs.readdirSync(path.join(folder, "captions")))
    look(fs.readFileSync(path.join(folder, "captions", file), "utf8"), file);
  for (const file of fs.readdirSync(folder).filter((f) => f.endsWith(".html")))
    for (const [, data] of fs.readFileSync(path.join(folder, file), "utf8").matchAll(/"data:text\/vtt;base64,([^"]*)"/g))
      look(Buffer.from(data, "base64").toString("utf8"), file);
}
console.log(`${read} captions read, ${failed} files wrong`);
process.exit(failed || read < 10 ? 1 : 0);
