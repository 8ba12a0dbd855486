// The picture at the head of the README: the night of the demo at a glance, and one of its cycles. `cargo xtask picture` runs this.
import { fileURLToPath } from "node:url";
import { launch, open } from "./test/browser.js";

const out = fileURLToPath(new URL("../../host/pictures/night.png", import.meta.url));
const browser = await launch();
const { page } = await open(browser, "night.html", { viewport: { width: 1000, height: 900 }, deviceScaleFactor: 1.5 });
// What belongs to a page and not to a picture goes.
await page.addStyleTag({ content: ".js .controls, .caution, header > p, section h2, section.cycle .wide, section.cycle > ul { display: none !important } body { padding: 1rem }" });
await page.evaluate(() => {
  const keep = [document.querySelector("h1"), document.querySelector(".overview"), document.querySelector("#picture-2")];
  document.body.replaceChildren(...keep);
});
await page.screenshot({ path: out, fullPage: true });
await browser.close();
console.log(out);
