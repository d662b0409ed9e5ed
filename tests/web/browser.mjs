/* A browser, a web server on loopback, and what went wrong on a page while nobody looked. */
import fs from "node:fs";
import http from "node:http";
import path from "node:path";
import puppeteer from "puppeteer-core";

const programs = {chrome: ["/usr/bin/chromium"], firefox: ["/usr/bin/firefox-esr", "/usr/bin/firefox"]};

/* Firefox under automation sets preferences that switch the strict origin of files off; with them
 * the tests would prove the wrong thing. */
export async function openBrowser(name, {script = true} = {}) {
  const executablePath = programs[name].find((p) => fs.existsSync(p));
  if (!executablePath) throw new Error(`${name} is not installed`);
  return puppeteer.launch({
    browser: name,
    executablePath,
    headless: true,
    timeout: 120000, /* other people's work slows a machine down */
    protocolTimeout: 240000,
    args: name === "chrome" ? ["--no-sandbox", "--disable-dev-shm-usage", "--autoplay-policy=no-user-gesture-required"] : [],
    extraPrefsFirefox: {
      "remote.prefs.recommended": false,
      "javascript.enabled": script,
      "media.autoplay.default": 0,
      "app.update.enabled": false,
      "browser.shell.checkDefaultBrowser": false,
      "datareporting.policy.dataSubmissionEnabled": false,
      "toolkit.telemetry.enabled": false,
    },
  });
}

const kinds = {".html": "text/html; charset=utf-8", ".css": "text/css", ".js": "text/javascript",
  ".jpg": "image/jpeg", ".mp4": "video/mp4", ".vtt": "text/vtt", ".webm": "video/webm"};

function send(file, request, response) {
  const size = fs.statSync(file).size, range = /^bytes=(\d+)-(\d*)/.exec(request.headers.range || "");
  const from = range ? Number(range[1]) : 0, to = range && range[2] ? Number(range[2]) : size - 1;
  const head = {"Content-Type": kinds[path.extname(file)] || "application/octet-stream",
    "Accept-Ranges": "bytes", "Content-Length": to - from + 1};
  if (range) head["Content-Range"] = `bytes ${from}-${to}/${size}`;
  response.writeHead(range ? 206 : 200, head);
  fs.createReadStream(file, {start: from, end: to}).pipe(response);
}

/* Serves the folder alone; resolves to {base, close}. */
export async function serve(folder) {
  const server = http.createServer((request, response) => {
    const file = path.join(folder, decodeURIComponent(new URL(request.url, "http://x").pathname));
    if (file.startsWith(folder + path.sep) && fs.existsSync(file) && fs.statSync(file).isFile())
      send(file, request, response);
    else response.writeHead(404).end();
  });
  await new Promise((ready) => server.listen(0, "127.0.0.1", ready));
  return {base: `http://127.0.0.1:${server.address().port}/`, close: () => server.close()};
}

/* Keeps what a page complains of and asks for. */
export function listen(page, base) {
  const heard = [];
  page.on("console", (m) => { if (["error", "warn"].includes(m.type())) heard.push(m.text()); });
  page.on("pageerror", (e) => heard.push(String(e)));
  page.on("requestfailed", (r) => {
    /* A clip that is left before it was loaded is no trouble. */
    if (!/ABORT/i.test(r.failure()?.errorText || "")) heard.push(`${r.failure()?.errorText}: ${r.url()}`);
  });
  page.on("request", (r) => {
    if (!r.url().startsWith(base) && !r.url().startsWith("data:") && !r.url().startsWith("about:"))
      heard.push(`asked outside the folder: ${r.url()}`);
  });
  return heard;
}
