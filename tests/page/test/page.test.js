// The report's page as people use it: on a laptop, on a phone, by keyboard, without a script, on paper.
import assert from "node:assert/strict";
import { execFileSync, spawnSync } from "node:child_process";
import { readFileSync, statSync } from "node:fs";
import { createRequire } from "node:module";
import { after, before, describe, test } from "node:test";
import { file, has, launch, open, shown } from "./browser.js";

const PAGES = ["night.html", "beside.html", "damaged.html", "empty.html", "real.html"];
const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const timeline = name => JSON.parse(readFileSync(file(name), "utf8"));

const unfold = page => page.evaluate(() => { for (const details of document.querySelectorAll("details")) details.open = true; });

let browser;
before(async () => { browser = await launch(); });
after(() => browser?.close());

for (const name of PAGES) {
  describe(name, { skip: !has(name) && "skipped: no such page; TUBTRACE_REAL_CYCLES is not set" }, () => {
    test("is small enough to send", () => assert.ok(statSync(file(name)).size < 1_500_000));

    for (const [where, options] of Object.entries({ laptop: {}, phone: PHONE, dark: { colorScheme: "dark" } })) {
      test(`${where}: asks nothing, says nothing, fits, and everybody can read it`, async () => {
        const { page, context, wrong } = await open(browser, name, { ...options, bypassCSP: true });
        const across = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
        assert.ok(across <= 0, `it is ${across} pixels too wide`);
        assert.equal(await page.locator("h1").count(), 1);
        await page.evaluate(axe);
        const found = await page.evaluate(() => axe.run());
        const told = found.violations.map(v => `${v.id}: ${v.nodes.map(n => n.html).slice(0, 3).join(" ")}`);
        assert.deepEqual(told, []);
        assert.ok(found.passes.some(p => p.id === "color-contrast"), "contrast was looked at");
        assert.deepEqual(wrong, []);
        if (process.env.TUBTRACE_SHOTS) {
          await page.screenshot({ path: `${process.env.TUBTRACE_SHOTS}/${name}.${where}.png`, fullPage: true });
        }
        await context.close();
      });
    }

    test("is whole without a script", async () => {
      const { page, context } = await open(browser, name, { javaScriptEnabled: false });
      assert.ok((await page.locator(".curve").count()) > 0);
      assert.equal(await page.locator(".controls").first().isVisible(), false);
      await context.close();
    });

    for (const format of ["A4", "Letter"]) {
      test(`${format}: every table is whole on paper`, async t => {
        if (spawnSync("pdftotext", ["-v"]).error) return t.skip("skipped: pdftotext is not installed");
        const { page, context } = await open(browser, name);
        const path = file(`${name}.${format}.pdf`);
        await page.pdf({ path, format, preferCSSPageSize: false });
        const paper = execFileSync("pdftotext", ["-layout", path, "-"], { encoding: "utf8", maxBuffer: 1 << 26 });
        // Words, wherever lines break: first and last cell of each row.
        const words = paper.replace(/\s+/g, " ");
        const rows = await page.locator("section.cycle:not(:has(details:not([open]))) tbody tr").evaluateAll(trs =>
          trs.map(tr => [tr.cells[0].innerText.trim(), tr.cells[1].innerText.trim(), tr.cells[tr.cells.length - 1].innerText.trim()]));
        for (const cells of rows) {
          const line = paper.split("\n").find(l => l.includes(cells[0]) && cells.every(c => l.includes(c)));
          assert.ok(line, `row ${cells} is on paper`);
        }
        for (const h of await page.locator("h2").allInnerTexts()) assert.ok(words.includes(h.replace(/\s+/g, " ")), h);
        await context.close();
      });
    }
  });
}

describe("the picture of a cycle", () => {
  const picture = "#picture-4";

  test("zooms and pans by button, key, wheel and double click, and comes back", async () => {
    const { page, context, wrong } = await open(browser, "night.html");
    const whole = await shown(page, picture);
    const width = ([a, b]) => b - a;
    const slider = page.locator(`${picture} .read-at`);

    await page.locator(`${picture} button[data-do=in]`).click();
    const zoomed = await shown(page, picture);
    assert.ok(width(zoomed) < 0.6 * width(whole));
    await page.locator(`${picture} button[data-do=on]`).click();
    const later = await shown(page, picture);
    assert.ok(later[0] > zoomed[0] && width(later) === width(zoomed));

    await slider.focus();
    await page.keyboard.press("+");
    assert.ok(width(await shown(page, picture)) < 0.6 * width(later));
    await page.keyboard.press("PageDown");
    await page.keyboard.press("-");
    await page.keyboard.press("0");
    assert.deepEqual(await shown(page, picture), whole);

    await page.locator(`${picture} .panel.tall`).dblclick({ position: { x: 300, y: 60 } });
    assert.ok(width(await shown(page, picture)) < 0.5 * width(whole));
    await page.locator(`${picture} .panel.tall`).hover({ position: { x: 300, y: 60 } });
    const before = width(await shown(page, picture));
    await page.keyboard.down("Control");
    await page.mouse.wheel(0, -200);
    await page.keyboard.up("Control");
    await page.waitForFunction(([p, w]) => document.querySelector(`${p} .panel svg`).viewBox.baseVal.width < w, [picture, before]);
    assert.deepEqual(wrong, []);
    await context.close();
  });

  test("a drag moves it, a pinch zooms it", async () => {
    const { page, context } = await open(browser, "night.html", PHONE);
    await page.locator(`${picture} button[data-do=in]`).click();
    const zoomed = await shown(page, picture);
    const box = await page.locator(`${picture} .panel.tall`).boundingBox();
    const touch = await context.newCDPSession(page);
    const at = (x, id) => ({ x: box.x + x, y: box.y + 40, id });
    const send = (type, ...touchPoints) => touch.send("Input.dispatchTouchEvent", { type, touchPoints });
    await page.locator(`${picture} .panel.tall`).scrollIntoViewIfNeeded();
    Object.assign(box, await page.locator(`${picture} .panel.tall`).boundingBox());
    await send("touchStart", at(250, 1));
    for (const x of [220, 180, 140, 100]) await send("touchMove", at(x, 1));
    await send("touchEnd");
    const moved = await shown(page, picture);
    assert.ok(moved[0] > zoomed[0], `${zoomed} to ${moved}`);
    await send("touchStart", at(140, 1), at(180, 2));
    for (const d of [10, 30, 60]) await send("touchMove", at(140 - d, 1), at(180 + d, 2));
    await send("touchEnd");
    const pinched = await shown(page, picture);
    assert.ok(pinched[1] - pinched[0] < 0.6 * (moved[1] - moved[0]), `${moved} to ${pinched}`);
    await context.close();
  });

  test("what is read off is what was measured", async () => {
    const { page, context } = await open(browser, "night.html");
    await unfold(page);
    for (const [i, cycle] of timeline("night.json").cycles.entries()) {
      const figure = page.locator(`#picture-${i + 1}`);
      const from = Math.max(cycle.start_s - 60, 0);
      for (const interval of cycle.intervals.filter(x => x.end_s - x.start_s > 30 && x.name !== "gap")) {
        const middle = Math.round(((interval.start_s + interval.end_s) / 2 - from) * 10);
        await figure.locator(".read-at").evaluate((slider, value) => {
          slider.step = 1;
          slider.value = value;
          slider.dispatchEvent(new Event("input"));
        }, middle);
        const told = await figure.locator("output").innerText();
        const amps = Number(told.match(/current ([\d.]+) A/)[1]);
        assert.ok(told.includes(interval.name), `${told}: ${interval.name}`);
        // A reading beside the median of all of them, drawn in thousandths of the height.
        assert.ok(Math.abs(amps - interval.amps) < 0.02 + 0.06 * interval.amps, `${told}: ${interval.amps}`);
      }
    }
    await context.close();
  });

  test("on a phone every value of an interval is within the screen", async () => {
    const { page, context } = await open(browser, "night.html", PHONE);
    const beyond = await page.locator(".intervals td:visible").evaluateAll(all =>
      all.map(td => td.getBoundingClientRect()).filter(box => box.left < 0 || box.right > innerWidth).length);
    assert.ok((await page.locator(".intervals td:visible").count()) > 100);
    assert.equal(beyond, 0);
    await context.close();
  });

  test("healthy cycles are folded, and a link to one unfolds it", async () => {
    const { page, context } = await open(browser, "night.html");
    assert.equal(await page.locator("#picture-1").isVisible(), false);
    assert.equal(await page.locator("#picture-4").isVisible(), true);
    await page.locator(".overview a[href='#cycle-1']").click();
    await page.locator("#picture-1").waitFor({ state: "visible" });
    await context.close();
  });

  test("the demo's night is six sheets of paper, and what is folded stays folded", async () => {
    const { page, context } = await open(browser, "night.html");
    for (const format of ["A4", "Letter"]) {
      const sheets = (await page.pdf({ format })).toString("latin1").match(/\/Type\s*\/Page\b(?!s)/g).length;
      assert.ok(sheets <= 6, `${format}: ${sheets} sheets`);
    }
    assert.equal(await page.locator("details[open]").count(), 0);
    await context.close();
  });

  test("flags of two findings do not hide each other on a telephone, and a gauge is whole", async () => {
    const { page, context } = await open(browser, "night.html", { viewport: { width: 390, height: 844 } });
    const boxes = await page.locator("figure.cycle:visible").evaluateAll(figures => figures.map(figure =>
      [...figure.querySelectorAll(".flag")].map(flag => {
        const { left, top, right, bottom } = flag.getBoundingClientRect();
        return { of: flag.getAttribute("href"), left, top, right, bottom };
      })));
    for (const flags of boxes) {
      for (const a of flags) for (const b of flags) {
        if (a.of >= b.of) continue;
        const over = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const below = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        assert.ok(over <= 0 || below < 12, `${JSON.stringify([a, b])}`);
      }
    }
    const texts = await page.locator(".gauge span:visible").evaluateAll(all =>
      all.map(span => span.getBoundingClientRect()).map(box => [box.left, box.right]));
    assert.ok(texts.length > 6);
    for (const [left, right] of texts) assert.ok(left >= 0 && right <= 390, `${left} ${right}`);
    await context.close();
  });

  test("a cut-out shows the curve of the picture", async () => {
    const { page, context } = await open(browser, "night.html");
    const used = await page.locator(".cutout use").evaluateAll(all => all.map(use => use.getAttribute("href").slice(1)));
    assert.ok(used.length >= 3, `${used}`);
    for (const id of used) assert.equal(await page.locator(`path.curve[id="${id}"]`).count(), 1, id);
    await context.close();
  });

  test("each flag leads to its finding", async () => {
    const { page, context } = await open(browser, "night.html");
    const targets = await page.locator("a[href^='#']").evaluateAll(all => all.map(a => a.getAttribute("href").slice(1)));
    assert.ok(targets.length > 6);
    for (const id of targets) assert.equal(await page.locator(`[id="${id}"]`).count(), 1, id);
    await context.close();
  });

  test("gaps are gaps", async () => {
    const { page, context } = await open(browser, "damaged.html");
    assert.ok((await page.locator(".gap").count()) > 0);
    const gaps = timeline("damaged.json").cycles.flatMap(c => c.intervals).filter(i => i.name === "gap");
    for (const gap of gaps.filter(g => g.end_s - g.start_s > 60)) {
      const curves = await page.locator(".panel.tall .curve").evaluateAll(all => all.map(c => c.getAttribute("d")));
      assert.ok(curves.some(d => (d.match(/M/g) ?? []).length > 1), "the curve is broken");
    }
    await context.close();
  });
});
