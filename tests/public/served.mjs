// A plain web server: files as they lie below /c/ (job.root), their types by their endings, and nothing else; beside them the
// pages and scripts of the readers in `own`. What was asked and answered is kept in `asked`.
import { createServer } from 'node:http';
import { readFile } from 'node:fs/promises';
import { join, normalize } from 'node:path';
import { job } from '../pages/opened.mjs';

const types = { '.json': 'application/json', '.jpg': 'image/jpeg', '.js': 'text/javascript', '.css': 'text/css', '.html': 'text/html' };
const type = (path) => types[path.slice(path.lastIndexOf('.'))] ?? 'text/plain';

export const asked = [];
// `elsewhere`: what else it sends, so that pages of other addresses may read it.
export const sends = { elsewhere: false };

export async function serve(own) {
  const server = createServer(async (request, response) => {
    const path = decodeURIComponent(new URL(request.url, 'http://x').pathname);
    const answer = (status, body) => {
      asked.push({ path, status });
      const more = sends.elsewhere ? { 'access-control-allow-origin': '*' } : {};
      response.writeHead(status, { 'content-type': type(path), ...more });
      response.end(body);
    };
    try {
      if (own[path]) return answer(200, await own[path]());
      if (path === '/favicon.ico') return answer(204);
      if (!path.startsWith('/c/')) throw new Error('outside');
      answer(200, await readFile(join(job.root, normalize(path.slice(3)))));
    } catch {
      answer(404);
    }
  });
  await new Promise((done) => server.listen(job.port, '127.0.0.1', done));
  return server;
}

export const ofPackage = (path) => () => readFile(join(job.tools, 'node_modules', path));
