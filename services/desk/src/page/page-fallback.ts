import { createReadStream } from 'node:fs';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { join } from 'node:path';

/**
 * Answers every address of the page with the page: which riser and which moment it shows is in the address, and read
 * by the page itself. The API and the page's files are not among them.
 */
export function pageFallback(folder: string) {
  const file = join(folder, 'index.html');
  return (request: IncomingMessage, response: ServerResponse, proceed: () => void): void => {
    if (!isPage(request)) {
      proceed();
      return;
    }
    response.setHeader('content-type', 'text/html; charset=utf-8');
    response.setHeader('cache-control', 'no-cache');
    createReadStream(file)
      .once('error', () => {
        response.statusCode = 503;
        response.end('<!doctype html><title>Tidemark</title><p>The page is not built yet.</p>');
      })
      .pipe(response);
  };
}

function isPage({ method, url = '/' }: IncomingMessage): boolean {
  const path = url.split('?')[0] ?? '/';
  return (method === 'GET' || method === 'HEAD') && !/^\/(api|assets)(\/|$)/.test(path) && !path.includes('.');
}
