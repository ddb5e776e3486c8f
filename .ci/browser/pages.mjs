// Opens every NAME.html of a folder in a browser, at the width of a phone and
// of a desk, light and dark, and says what is wrong:
//   an error or warning on the console, a request, something wider than the
//   window, a violation of the rules of axe-core (WCAG 2.2 A and AA, and good
//   practice); something that Tab does not reach; an audition that does not
//   play; a page that does not print.
// With a second folder, pictures and PDF files to look at are left there.
//
//   node pages.mjs FOLDER [PICTURES]
//
// Exit status: 0 all is well, 1 something is not, or there are no pages.
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import fs from 'node:fs';
import path from 'node:path';

const require = createRequire(import.meta.url);
const { chromium } = require('playwright-core');
const axe = require('axe-core').source;

const [folder, pictures] = process.argv.slice(2);
const widths = { phone: 390, desk: 1280 };
const schemes = ['light', 'dark'];

let bad = 0;
const say = (...words) => { bad++; console.log(...words); };

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});

// open opens a page that tells of all that must not happen in it.
async function open(file, name, width, colorScheme) {
  const context = await browser.newContext({ viewport: { width, height: 900 }, colorScheme });
  const page = await context.newPage();
  const url = pathToFileURL(path.resolve(file)).href;
  page.on('console', (m) => ['error', 'warning'].includes(m.type()) && say(`${name}: console: ${m.text()}`));
  page.on('pageerror', (e) => say(`${name}: error: ${e.message}`));
  page.on('request', (r) => r.url() !== url && !r.url().startsWith('data:') && say(`${name}: asks for ${r.url()}`));
  // What the audition makes is kept, to see whether it runs.
  await page.addInitScript(() => {
    window.heard = { contexts: [], strokes: 0 };
    window.AudioContext = class extends AudioContext {
      constructor(...o) { super(...o); window.heard.contexts.push(this); }
    };
    const start = AudioBufferSourceNode.prototype.start;
    AudioBufferSourceNode.prototype.start = function (...when) { window.heard.strokes++; return start.apply(this, when); };
  });
  await page.goto(url);
  return page;
}

async function look(page, name) {
  const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  if (over > 0) say(`${name}: ${over} px wider than the window`);
  await page.evaluate(axe);
  const { violations } = await page.evaluate(() => axe.run(document, { resultTypes: ['violations'] }));
  for (const v of violations) say(`${name}: axe: ${v.id}, ${v.help}: ${v.nodes.length} times, such as ${v.nodes[0].html.slice(0, 200)} (${v.nodes[0].failureSummary.split('\n')[1]?.trim()})`);
}

// tab presses Tab until the beginning is reached again: all that can be used is
// stopped at, and the first stop, past the head of the page, shows itself.
async function tab(page, name) {
  const all = await page.evaluate(() => [...document.querySelectorAll('a[href], button, input, select, summary, [tabindex="0"]')]
    .filter((e) => e.checkVisibility() && !e.closest('details:not([open]) > :not(summary)')).length);
  const reached = await page.evaluate(() => { window.reached = new Set(); document.addEventListener('focusin', (e) => window.reached.add(e.target)); return 0; });
  await page.keyboard.press('Tab');
  const skip = await page.evaluate(() => { const box = document.activeElement.getBoundingClientRect(); return document.activeElement.className === 'skip' && box.left >= 0 && box.top >= 0; });
  if (!skip) say(`${name}: Tab does not show the way past the head`);
  for (let i = reached; i < all; i++) await page.keyboard.press('Tab');
  const n = await page.evaluate(() => window.reached.size);
  if (n !== all) say(`${name}: Tab reaches ${n} of ${all}`);
}

// play presses the button as a hand does and as a keyboard does.
async function play(page, name) {
  const button = page.locator('#play');
  if (!await button.count()) return;
  for (const [how, press] of [['click', () => button.click()], ['Enter', () => button.press('Enter')], ['Space', () => button.press('Space')]]) {
    const before = await page.evaluate(() => window.heard.strokes);
    const place = await page.locator('#where').textContent();
    await press();
    await page.waitForTimeout(2500);
    const { states, strokes } = await page.evaluate(() => ({ states: window.heard.contexts.map((c) => c.state).join(), strokes: window.heard.strokes }));
    if (states !== 'running') say(`${name}: ${how}: the audition is ${states || 'not there'}`);
    if (strokes === before) say(`${name}: ${how}: nothing is struck`);
    if (await page.locator('#where').textContent() === place) say(`${name}: ${how}: it stays at ${place}`);
    if (await button.textContent() !== 'Pause') say(`${name}: ${how}: the button does not offer a pause`);
    await press();
    if (await button.textContent() !== 'Play') say(`${name}: ${how}: it does not stop`);
  }
}

// picture shows the whole page, with all that a window would draw when it gets
// there.
async function picture(page, file) {
  const style = await page.addStyleTag({ content: '.part { content-visibility: visible } #player { position: static }' });
  await page.screenshot({ path: file, fullPage: true });
  await style.evaluate((e) => e.remove());
}

async function print(page, name) {
  const pdf = await page.pdf({ format: 'A4', preferCSSPageSize: true });
  if (pdf.subarray(0, 5).toString() !== '%PDF-') say(`${name}: does not print`);
  if (pictures) fs.writeFileSync(path.join(pictures, `${name}.pdf`), pdf);
}

const files = fs.readdirSync(folder).filter((f) => f.endsWith('.html')).sort();
for (const file of files) {
  for (const [size, width] of Object.entries(widths)) {
    for (const scheme of schemes) {
      const base = path.basename(file, '.html'), name = `${base}, ${size}, ${scheme}`;
      const page = await open(path.join(folder, file), name, width, scheme);
      await look(page, name);
      if (pictures) await picture(page, path.join(pictures, `${base}-${size}-${scheme}.png`));
      if (size === 'desk' && scheme === 'light') {
        await tab(page, name);
        await play(page, name);
        await print(page, base);
      }
      await page.context().close();
    }
  }
}
await browser.close();
console.log(`${files.length} pages, each at two widths, light and dark: ${bad} things are wrong`);
process.exit(bad || !files.length ? 1 : 0);
