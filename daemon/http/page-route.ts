import type { FastifyInstance } from 'fastify';
import type { PageFile } from './page-files.ts';
import { refuse } from './problems.ts';
import { unservedPath } from './refusals.ts';

/** Serves the page's files at their paths; any other path that is read and that nothing else serves is a fault. */
export function addPageRoute(app: FastifyInstance, files: ReadonlyMap<string, PageFile>): void {
  app.get('/*', { schema: { hide: true } as object }, (request, reply) => {
    const path = request.url.split('?', 1)[0] ?? '/';
    const file = files.get(path);
    if (!file) {
      return refuse(reply, path === '/' ? unbuilt : unservedPath(path));
    }
    reply.headers({ etag: file.etag, 'cache-control': file.cacheControl });
    if (request.headers['if-none-match'] === file.etag) return reply.code(304).send();
    return reply.type(file.type).send(file.bytes);
  });
}

const unbuilt = {
  code: 'PAGE_MISSING',
  message: 'The page must be built before it is served, got a folder without one. Run npm run build.',
} as const;
