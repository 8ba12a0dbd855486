// A browser that asks nothing of any network, and says what a page asked, said and did wrong.
import { existsSync } from "node:fs";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const QUIET = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run"];
const PLACES = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

export const folder = process.env.TUBTRACE_PAGES;
export const file = name => `${folder}/${name}`;
export const has = name => existsSync(file(name));

export const launch = () =>
  chromium.launch({ executablePath: process.env.TUBTRACE_CHROMIUM ?? PLACES.find(existsSync), args: QUIET });

/** Opens a page; gives it with everything that must stay empty. */
export async function open(browser, name, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  const page = await context.newPage();
  const url = pathToFileURL(file(name)).href;
  const wrong = [];
  page.on("console", message => wrong.push(`console: ${message.text()}`));
  page.on("pageerror", error => wrong.push(`error: ${error.message}`));
  page.on("request", request => {
    if (request.url() !== url && !request.url().startsWith("data:")) wrong.push(`request: ${request.url()}`);
  });
  await page.goto(url);
  return { page, context, wrong };
}

/** From when to when a picture is shown, in tenths of a second. */
export const shown = (page, picture) =>
  page.locator(`${picture} .panel svg`).first().evaluate(svg => {
    const { x, width } = svg.viewBox.baseVal;
    return [x, x + width];
  });
