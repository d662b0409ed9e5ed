/* check.mjs BROWSER FOLDER TRUTH: drives the pages of a published folder as people would, from the
 * disk and from a server, with the script and without it. TRUTH is JSON: {moments: {page: [seconds
 * at which its moments are, in the order of the page]}, own: [folders with the same pages, whose
 * moments have clips of their own], still: [folders with the same pages that have pictures alone, beside
 * them, and within them]}.
 * Prints what failed; exits 1 then. */
import {execFileSync} from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import {pathToFileURL} from "node:url";
import {createRequire} from "node:module";
import {listen, openBrowser, serve} from "./browser.mjs";

const [, , browserName, folderGiven, truthFile] = process.argv;
const folder = fs.realpathSync(folderGiven);
const truth = JSON.parse(fs.readFileSync(truthFile, "utf8"));
const axe = fs.readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const FRAME = 1 / 25, LEAD = 2;
let failed = 0, passed = 0;

function check(good, what) {
  if (good) passed++;
  else {
    failed++;
    console.log(`FAILED ${browserName}: ${what}`);
  }
}

const begins = (moment) => Math.max(0, moment - LEAD);
const near = (a, b) => Math.abs(a - b) <= FRAME;

/* Where a touch sends the clip; NaN when it does not arrive there. It plays on at once, so the time
 * when it has arrived is a little later. */
async function touch(page, nth) {
  return page.evaluate(async (nth) => {
    const li = document.querySelectorAll(".moment")[nth];
    const video = li.dataset.video ? document.getElementById(li.dataset.video) : li.querySelector("video");
    const sent = new Promise((done) => {
      video.addEventListener("seeking", () => done(video.currentTime), {once: true});
      setTimeout(() => done(NaN), 60000);
    });
    const there = new Promise((done) => {
      video.addEventListener("seeked", () => done(video.currentTime), {once: true});
      setTimeout(() => done(NaN), 60000);
    });
    li.querySelector("a.go").click();
    const to = await sent, at = await there;
    return at >= to - 0.001 && at < to + 4 ? to : NaN;
  }, nth);
}

async function lands(page, where, moments) {
  const n = await page.$$eval(".moment", (all) => all.length);
  check(n === moments.length, `${where}: ${n} moments, not ${moments.length}`);
  for (let i = 0; i < Math.min(n, moments.length); i++) {
    const at = await touch(page, i);
    check(near(at, begins(moments[i])), `${where}: moment ${i} begins at ${at}, not ${begins(moments[i])}`);
  }
}

const playing = (page) => page.evaluate(() => {
  const chosen = document.querySelector(".moment.chosen");
  const video = chosen && document.getElementById(chosen.dataset.video);
  return {id: chosen && chosen.id, at: video && video.currentTime, paused: !video || video.paused,
    hash: location.hash, nth: chosen ? [...document.querySelectorAll(".moment")].indexOf(chosen) : -1,
    shown: video && video.getBoundingClientRect().width > 0};
});

const until = (page, test, what) => page.waitForFunction(test, {timeout: 60000}).then(
  () => check(true), () => check(false, what));

async function loops(page, where) {
  await touch(page, 0);
  await page.evaluate(() => {
    const li = document.querySelector(".moment.chosen"), video = document.getElementById(li.dataset.video);
    window.wasLate = false;
    video.currentTime = Number(li.dataset.to) - 0.3;
  });
  await until(page, () => {
    const li = document.querySelector(".moment.chosen"), video = document.getElementById(li.dataset.video);
    window.wasLate ||= video.currentTime > Number(li.dataset.to) - 0.4;
    return window.wasLate && !video.paused && video.currentTime < Number(li.dataset.from) + 1.5;
  }, `${where}: a moment is not played again`);
}

async function keys(page, where, n) {
  await page.keyboard.press("n");
  let now = await playing(page);
  check(now.nth === Math.min(1, n - 1), `${where}: n does not go to the next moment (${now.nth})`);
  await page.keyboard.press("b");
  now = await playing(page);
  check(now.nth === 0, `${where}: b does not go back (${now.nth})`);
  check(now.hash === `#${now.id}`, `${where}: the address is ${now.hash}, not #${now.id}`);
  check(now.shown, `${where}: the clip is not seen`);
  await until(page, () => {
    const li = document.querySelector(".moment.chosen");
    return !document.getElementById(li.dataset.video).paused;
  }, `${where}: it does not play`);
  await page.keyboard.press("p");
  now = await playing(page);
  check(now.paused, `${where}: p does not stop`);
  await page.click("#next");
  now = await playing(page);
  check(now.nth === Math.min(1, n - 1), `${where}: the button does not go to the next moment`);
}

async function deepLink(page, where, url, moments) {
  const last = moments.length - 1;
  const id = await page.$$eval(".moment", (all, last) => all[last].id, last);
  await page.goto("about:blank");
  await page.goto(`${url}#${id}`);
  await page.waitForSelector(".moment.chosen");
  const from = begins(moments[last]);
  const ok = await page.waitForFunction((from) => {
    const li = document.querySelector(".moment.chosen"), video = document.getElementById(li.dataset.video);
    return !video.seeking && video.currentTime >= from - 0.04 && video.currentTime < from + 5.1;
  }, {timeout: 60000}, from).then(() => true, () => false);
  const now = await playing(page);
  check(ok && now.id === id, `${where}: the address of a moment leads to ${now.id} at ${now.at}`);
}

const PHONES = [{width: 360, height: 740}, {width: 740, height: 360}];

/* Is what a person came for in sight, and nothing upon it? A point of each is asked what lies there.
 * HTML: elementFromPoint (CSSOM View). */
const inSight = (page) => page.evaluate(() => {
  const li = document.querySelector(".moment.chosen") || document.querySelector(".moment:target");
  if (!li) return ["no moment is chosen"];
  const wrong = [], line = li.closest(".line");
  const look = (what, e, within) => {
    const box = e.getBoundingClientRect(), x = box.left + Math.min(box.width / 2, 20), y = box.top + Math.min(box.height / 2, 12);
    const there = document.elementFromPoint(x, y);
    if (!there || !within.contains(there))
      wrong.push(`${what} is hidden at ${Math.round(x)},${Math.round(y)} by ${there && (there.id || there.className || there.tagName)}`);
  };
  look("the line's name", line.querySelector("h3 bdi"), line.querySelector("h3"));
  look("the moment", [...li.querySelectorAll("img, video")].find((e) => e.getBoundingClientRect().width > 0), li);
  return wrong;
});

/* What is still wrong once the page has come to rest: it scrolls smoothly. */
async function settled(look) {
  let wrong = [];
  for (let tries = 0; tries < 100; tries++) {
    wrong = await look();
    if (!wrong.length) break;
    await new Promise((done) => setTimeout(done, 100));
  }
  return wrong;
}

/* The address of a moment, as a code on paper opens it. */
async function seesMoment(page, where, url, id) {
  for (const phone of PHONES) {
    await page.setViewport(phone);
    await page.goto("about:blank");
    await page.goto(`${url}#${id}`, {waitUntil: "load"});
    const wrong = await settled(() => inSight(page));
    check(wrong.length === 0, `${where} at ${phone.width}x${phone.height}: ${wrong.join("; ")}`);
  }
  await page.setViewport({width: 1100, height: 800});
}

/* A phone on its side: the clip, the list beside it and buttons that a thumb hits (WCAG 2.2, 2.5.5: 44
 * CSS pixels). */
async function sideways(page, where, url) {
  await page.setViewport(PHONES[1]);
  await page.goto("about:blank");
  await page.goto(url, {waitUntil: "load"});
  await touch(page, 0);
  const wrong = await settled(() => page.evaluate(() => {
    const said = [], box = (e) => e.getBoundingClientRect();
    const li = document.querySelector(".moment.chosen"), video = box(document.getElementById(li.dataset.video));
    const card = box(li), bar = box(document.querySelector(".steps"));
    const apart = (a, b) => a.right <= b.left + 1 || b.right <= a.left + 1 || a.bottom <= b.top + 1 || b.bottom <= a.top + 1;
    if (video.top < -1 || video.bottom > 361 || video.width < 300) said.push(`the clip: ${JSON.stringify(video)}`);
    if (!apart(video, card) || !apart(video, bar) || !apart(card, bar)) said.push("one lies on the other");
    if (card.top < -1 || card.top > 200 || card.width < 300) said.push(`the moment: ${JSON.stringify(card)}`);
    document.querySelectorAll(".steps button").forEach((b) => {
      if (box(b).height < 44 || box(b).width < 44 || box(b).bottom > 361) said.push(`${b.id}: ${JSON.stringify(box(b))}`);
    });
    return said;
  }));
  check(wrong.length === 0, `${where} on its side: ${wrong.join("; ")}`);
  await page.setViewport({width: 1100, height: 800});
}

/* What a printer gets, by another's reader of PDF (poppler: pdfimages): a picture of each moment at
 * least, for one may be drawn again for another place or in pieces, and none of a player's buttons, which
 * Chromium prints as masks of grey. */
async function prints(page, where, moments) {
  const file = path.join(os.tmpdir(), `printed-${browserName}-${process.pid}.pdf`);
  await page.pdf({path: file, timeout: 240000});
  const rows = execFileSync("pdfimages", ["-list", file], {encoding: "utf8"}).split("\n").filter((row) => / image /.test(row));
  fs.unlinkSync(file);
  const buttons = browserName === "chrome" ? rows.filter((row) => / gray /.test(row)).length : 0, n = rows.length - buttons;
  check(n >= new Set(moments).size, `${where}: ${n} pictures on paper of ${new Set(moments).size} moments`);
  check(buttons === 0, `${where}: ${buttons} buttons of players on paper`);
}

async function closed(page, where) {
  const ran = await page.evaluate(() => {
    const script = document.createElement("script");
    script.textContent = "window.broken = 1";
    document.head.append(script);
    const div = document.createElement("div");
    div.innerHTML = "<img src=\"nothing.jpg\" onerror=\"window.broken = 2\">";
    document.body.append(div);
    return new Promise((done) => setTimeout(() => { div.remove(); done(window.broken || 0); }, 300));
  });
  check(ran === 0, `${where}: a script that was put in ran (${ran})`);
}

async function accessible(page, where) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => window.axe.run(document, {preload: false}));
  for (const v of found.violations)
    check(false, `${where}: axe: ${v.id}: ${v.nodes.map((n) => n.target.join(" ")).slice(0, 3).join(", ")}`);
  check(found.passes.length > 10, `${where}: axe looked at ${found.passes.length} things`);
}

async function fits(page, where) {
  await page.setViewport({width: 360, height: 740});
  const wide = await page.evaluate(() => document.scrollingElement.scrollWidth);
  check(wide <= 360, `${where}: ${wide} pixels wide on a phone of 360`);
  await page.setViewport({width: 1100, height: 800});
}

/* A caption is of the page's people, and stands at the upper edge. */
async function captionsAreOurs(page, where, others) {
  const wrong = await page.evaluate((others) => [...document.querySelectorAll("#clips video")]
    .flatMap((v) => [...v.textTracks[0].cues])
    .filter((c) => c.line !== 0 || c.align !== "start" || others.some((o) => c.text.includes(o)))
    .map((c) => `${c.line} ${c.align} ${c.text}`), others);
  check(wrong.length === 0, `${where}: captions ${wrong.join("; ")}`);
}

async function captions(page, where) {
  const wrong = await page.evaluate(() => [...document.querySelectorAll("#clips video")].filter((v) => {
    const n = [...document.querySelectorAll(".moment")].filter((li) => li.dataset.video === v.id);
    const ids = new Set(n.map((li) => li.id.split(".")[0])).size;
    return !v.textTracks[0] || !v.textTracks[0].cues || v.textTracks[0].cues.length < ids;
  }).length);
  check(wrong === 0, `${where}: ${wrong} clips lack captions`);
}

async function withScript(base, place) {
  const browser = await openBrowser(browserName);
  const page = await browser.newPage();
  await page.setViewport({width: 1100, height: 800});
  const heard = listen(page, base);
  for (const [name, moments] of Object.entries(truth.moments)) {
    const url = base + name, where = `${place} ${name}`;
    await page.goto(url, {waitUntil: "load"});
    await lands(page, where, moments);
    if (moments.length) {
      await loops(page, where);
      await page.goto("about:blank");
      await page.goto(url, {waitUntil: "load"});
      await touch(page, 0);
      await keys(page, where, moments.length);
      await captions(page, where);
      if (name === "trumpets.html") await captionsAreOurs(page, where, ["F1", "at the very end", "quotes"]);
      await deepLink(page, where, url, moments);
    }
    if (place === "file" && moments.length > 1) {
      const ids = await page.$$eval(".moment", (all) => all.map((li) => li.id));
      await seesMoment(page, where, url, ids[0]);
      await seesMoment(page, where, url, ids[ids.length - 1]);
      await sideways(page, where, url);
    }
    await fits(page, where);
    await accessible(page, where);
    check(heard.length === 0, `${where}: ${heard.join("; ")}`);
    heard.length = 0;
    await closed(page, where);
    heard.length = 0;
  }
  await browser.close();
}

/* Pages whose moments have clips of their own, in files beside them or within the page. */
async function ownClips(base, place) {
  const browser = await openBrowser(browserName);
  const page = await browser.newPage();
  await page.setViewport({width: 1100, height: 800});
  const heard = listen(page, base);
  for (const [name, moments] of Object.entries(truth.moments).filter(([, m]) => m.length)) {
    const where = `${place} ${name}`;
    await page.goto(base + name, {waitUntil: "load"});
    const n = await page.$$eval(".moment video", (all) => all.length);
    check(n === moments.length, `${where}: ${n} clips, not ${moments.length}`);
    await page.keyboard.press("n");
    await page.keyboard.press("n");
    await until(page, () => {
      const video = document.querySelectorAll(".moment video")[Math.min(1, document.querySelectorAll(".moment").length - 1)];
      return video.closest(".moment").classList.contains("chosen") && !video.paused && video.currentTime > 0.2 &&
        video.videoWidth > 0 && video.duration > 2 && video.duration < 5.5;
    }, `${where}: the second clip does not play`);
    if (name === "trumpets.html") {
      const id = await page.$$eval(".moment", (all) => all[all.length - 1].id);
      await seesMoment(page, where, base + name, id);
      await prints(page, where, moments);
    }
    await fits(page, where);
    await accessible(page, where);
    check(heard.length === 0, `${where}: ${heard.join("; ")}`);
    heard.length = 0;
    await closed(page, where);
    heard.length = 0;
  }
  await browser.close();
}

/* Pages without clips: a picture can be looked at larger, where it stands. */
async function pictures(base, place) {
  const browser = await openBrowser(browserName);
  const page = await browser.newPage();
  await page.setViewport(PHONES[0]);
  const heard = listen(page, base);
  for (const [name, moments] of Object.entries(truth.moments).filter(([, m]) => m.length)) {
    const where = `${place} ${name}`;
    await page.goto(base + name, {waitUntil: "load"});
    const n = await page.$$eval(".moment .larger", (all) => all.length);
    check(n === moments.length, `${where}: ${n} pictures can be larger, not ${moments.length}`);
    await page.focus(".moment .larger");
    await page.keyboard.press("Enter");
    await until(page, () => {
      const img = document.querySelector("dialog[open] img");
      return img && img.complete && img.naturalWidth > 0 && img.getBoundingClientRect().width >= Math.max(img.naturalWidth, 360);
    }, `${where}: no larger picture`);
    await accessible(page, `${where}, larger`);
    await page.keyboard.press("Escape");
    await until(page, () => !document.querySelector("dialog[open]"), `${where}: the larger picture stays`);
    check(page.url().split("#")[0] === base + name, `${where}: went to ${page.url()}`);
    if (name === "trumpets.html") await prints(page, where, moments);
    await fits(page, where);
    await accessible(page, where);
    check(heard.length === 0, `${where}: ${heard.join("; ")}`);
    heard.length = 0;
  }
  await browser.close();
}

/* Every line is still a link that works, and has its picture. */
async function withoutScript(base, place) {
  const browser = await openBrowser(browserName, {script: false});
  const page = await browser.newPage();
  await page.setJavaScriptEnabled?.(false).catch(() => {}); /* Firefox: by its preference */
  const heard = listen(page, base);
  for (const [name, moments] of Object.entries(truth.moments)) {
    const where = `${place} ${name} without a script`, url = base + name;
    await page.goto(url, {waitUntil: "load"});
    const html = await page.content();
    const links = [...html.matchAll(/<a class="go" href="([^"]+)"><img src="([^"]+)"/g)];
    check(links.length === moments.length, `${where}: ${links.length} links, not ${moments.length}`);
    links.forEach(([, href, still], i) => {
      const to = new URL(href, url), t = Number(/^#t=([0-9.]+)$/.exec(to.hash)?.[1]);
      const file = path.join(folder, decodeURIComponent(href.split("#")[0]));
      check(fs.existsSync(file), `${where}: ${href} leads nowhere`);
      check(fs.existsSync(path.join(folder, still)), `${where}: ${still} is not there`);
      check(near(t, begins(moments[i])), `${where}: ${href} is not ${begins(moments[i])}`);
    });
    const ids = [...html.matchAll(/class="moment" id="([^"]+)"/g)].map(([, id]) => id);
    if (name === "trumpets.html") await seesMoment(page, where, url, ids[ids.length - 1]);
    check(/class="steps"[^>]*hidden/.test(html), `${where}: buttons that do nothing are shown`);
    check(heard.length === 0, `${where}: ${heard.join("; ")}`);
    heard.length = 0;
  }
  await browser.close();
}

/* The larger picture is a link to the picture. */
/* A clip that the browser does not play says so, and its moments show their pictures. */
async function unplayed(base, place) {
  const browser = await openBrowser(browserName);
  const page = await browser.newPage();
  await page.setViewport(PHONES[0]);
  const name = "trumpets.html";
  await page.goto(base + name, {waitUntil: "load"});
  await until(page, () => document.querySelectorAll("p.unplayed").length === 1, `${place}: says nothing of the clip`);
  check(await page.$eval("p.unplayed", (p) => p.textContent.includes("does not play monday")),
    `${place}: names no clip`);
  const nth = await page.$$eval(".moment", (all) => all.findIndex(
    (li) => document.getElementById(li.dataset.video).classList.contains("unplayed")));
  check(nth >= 0, `${place}: no moment is of the clip`);
  await page.evaluate((nth) => document.querySelectorAll(".moment")[nth].querySelector("a.go").click(), nth);
  await until(page, () => {
    const img = document.querySelector("dialog[open] img");
    return img && img.complete && img.naturalWidth > 0;
  }, `${place}: no picture in its place`);
  await page.keyboard.press("Escape");
  await until(page, () => !document.querySelector("dialog[open]"), `${place}: the picture stays`);
  check(await page.$eval("p.unplayed a", (a) => a.getBoundingClientRect().height > 0), `${place}: no link to see`);
  await fits(page, place);
  await accessible(page, place);
  await browser.close();
}

async function picturesWithoutScript(place) {
  for (const [name, moments] of Object.entries(truth.moments)) {
    const html = fs.readFileSync(path.join(place, name), "utf8");
    const links = [...html.matchAll(/<a class="larger" href="([^"]+)"><img src="([^"]+)"/g)];
    check(links.length === moments.length, `${place} ${name}: ${links.length} links to pictures`);
    for (const [, href, src] of links)
      check(href === src && fs.existsSync(path.join(place, href)), `${place} ${name}: ${href} leads nowhere`);
  }
}

const files = pathToFileURL(folder + path.sep).href;
const server = await serve(folder);
await withScript(files, "file");
await withScript(server.base, "server");
await withoutScript(files, "file");
for (const own of truth.own) await ownClips(pathToFileURL(fs.realpathSync(own) + path.sep).href, own);
for (const place of truth.still) await pictures(pathToFileURL(fs.realpathSync(place) + path.sep).href, place);
await picturesWithoutScript(truth.still[0]);
await unplayed(pathToFileURL(fs.realpathSync("odd") + path.sep).href, "odd");
server.close();
console.log(`${browserName}: ${passed} passed, ${failed} failed`);
process.exit(failed || passed < 20 ? 1 : 0);
