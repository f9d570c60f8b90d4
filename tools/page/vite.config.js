// One HTML file: scripts and styles inlined, the engine gzipped and as text within the script.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vite';
import { textOf } from './src/dense.js';

const engineFolder = resolve(process.env.ELLWAND_ENGINE ?? '../../build/browser/engine');

// `virtual:engine-wasm` is the module's bytes; `virtual:engine` the script that Emscripten wrote to open it.
function engine() {
  return {
    name: 'ellwand-engine',
    resolveId: (id) => (id.startsWith('virtual:engine') ? `\0${id}` : null),
    load(id) {
      if (id === '\0virtual:engine-wasm') {
        // A tenth of a minute of zopfli's saves a twentieth of what gzip makes of it.
        const wasm = execFileSync('zopfli', ['-c', resolve(engineFolder, 'engine.wasm')], { maxBuffer: 1 << 26 });
        return `export default ${JSON.stringify(textOf(wasm))};`;
      }
      if (id === '\0virtual:engine') {
        const script = readFileSync(resolve(engineFolder, 'engine.js'), 'utf8');
        return script.replace('new URL("engine.wasm",import.meta.url).toString()', '""').replaceAll('import.meta.url', '""');
      }
      return null;
    }
  };
}

// Scripts and styles into the page, so that it opens by a double click. `$` in code must not be read as a pattern.
function inlined() {
  return {
    name: 'ellwand-inlined',
    enforce: 'post',
    generateBundle(_, bundle) {
      const page = bundle['index.html'];
      for (const [name, part] of Object.entries(bundle)) {
        if (name.endsWith('.js')) {
          const code = part.code.replaceAll('</script', '<\\/script').replaceAll('<!--', '<\\!--');
          page.source = page.source
            .replace(new RegExp(`<script[^>]*src="[^"]*${name}"[^>]*></script>`), '')
            .replace('</body>', () => `<script type="module">${code}</script></body>`);
        } else if (name.endsWith('.css')) {
          page.source = page.source.replace(new RegExp(`<link[^>]*href="[^"]*${name}"[^>]*>`), () => `<style>${part.source}</style>`);
        } else continue;
        delete bundle[name];
      }
    }
  };
}

export default defineConfig({
  base: './',
  plugins: [engine(), svelte(), inlined()],
  build: { target: 'es2022', outDir: process.env.ELLWAND_PAGE_OUT ?? '../../build/page', emptyOutDir: true, modulePreload: false, chunkSizeWarningLimit: 3000 }
});
