import { fileURLToPath } from 'node:url';
import type { InlineConfig } from 'vite';

const desk_folder = fileURLToPath(new URL('../../', import.meta.url));

/** Where the page's sources lie. */
export const web_folder = `${desk_folder}web`;

/** Where built pages lie; `dist` is kept out of the repository. */
export const pages_folder = `${desk_folder}dist/web`;

/** How the page is built into a folder. There is no file of its own for it: one caller, one truth. */
export const pageBuild = async (folder: string): Promise<InlineConfig> => {
  const { default: react } = await import('@vitejs/plugin-react');
  return {
    root: web_folder,
    configFile: false,
    logLevel: 'warn',
    mode: 'production',
    plugins: [react()],
    // The page shares the contract with the server, from the same sources.
    resolve: { conditions: ['tidemark-source', 'module', 'browser', 'production'] },
    build: {
      outDir: folder,
      emptyOutDir: true,
      target: 'es2022',
      // Nothing inline: the content security policy allows the station's own files only.
      assetsInlineLimit: 0,
      modulePreload: { polyfill: false },
      reportCompressedSize: false,
    },
  };
};
