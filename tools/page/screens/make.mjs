// Makes the README's pictures anew from the demo: node tools/page/screens/make.mjs, after tools/page/test.
import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { open_folder, with_demo, with_page } from '../../../tests/page/studio.mjs';

const kQuality = 0.8;

/** A picture of the screen as WebP, made by the browser itself. */
async function picture(page, name, clip) {
  const png = await page.screenshot({ clip });
  const webp = await page.evaluate(async ([bytes, quality]) => {
    const image = await createImageBitmap(await (await fetch(`data:image/png;base64,${bytes}`)).blob());
    const canvas = new OffscreenCanvas(image.width, image.height);
    canvas.getContext('2d').drawImage(image, 0, 0);
    const blob = await canvas.convertToBlob({ type: 'image/webp', quality });
    return [...new Uint8Array(await blob.arrayBuffer())];
  }, [png.toString('base64'), kQuality]);
  writeFileSync(fileURLToPath(new URL(`${name}.webp`, import.meta.url)), Uint8Array.from(webp));
  console.log(`${name}.webp: ${Math.round(webp.length / 1000)} kB`);
}

await with_demo(async (studio) => {
  await with_page(async (page) => {
    await open_folder(page, studio);
    await page.getByRole('table', { name: 'Yarn for Saltmarsh' }).waitFor();
    await picture(page, 'piece', { x: 0, y: 0, width: 1280, height: 1000 });
    await page.getByRole('button', { name: 'Swatches', exact: true }).click();
    await page.getByRole('button', { name: 'Calibrate from what was measured' }).click();
    const plot = page.locator('.foretold');
    await plot.scrollIntoViewIfNeeded();
    const box = await plot.boundingBox();
    await picture(page, 'foretold', { x: Math.max(0, box.x - 12), y: box.y, width: Math.min(1280, box.width + 24), height: box.height });
  }, { width: 1280, height: 1000 });
});
