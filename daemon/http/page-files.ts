import { createHash } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { extname, join, relative, sep } from 'node:path';

/** One file of the built page, held in memory. */
export type PageFile = { bytes: Buffer; type: string; etag: string; cacheControl: string };

/** The most that a built page may weigh; a larger folder is not the page, and opening rejects. */
export const pageBytesMax = 32 * 1024 * 1024;

const types: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json',
  '.webmanifest': 'application/manifest+json',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.ico': 'image/x-icon',
  '.woff2': 'font/woff2',
  '.txt': 'text/plain; charset=utf-8',
};

/**
 * Reads a built page into memory, by the path at which each file is served; `/` is `index.html`. A request
 * is then a look-up, so no path that a client makes up ever reaches the disk. Links and files whose name
 * begins with a dot are left out; a missing folder gives no files. A page built anew needs a new start.
 */
export async function readPageFiles(folder: string): Promise<ReadonlyMap<string, PageFile>> {
  const files = new Map<string, PageFile>();
  let bytesSum = 0;
  for (const entry of await entriesOf(folder)) {
    const path = join(entry.parentPath, entry.name);
    const name = relative(folder, path).split(sep).join('/');
    if (!entry.isFile() || `/${name}`.includes('/.')) continue;
    const bytes = await readFile(path);
    bytesSum += bytes.length;
    if (bytesSum > pageBytesMax) {
      throw new Error(
        `HTTP_PAGE: the page folder ${folder} must hold at most ${pageBytesMax} bytes, got more. Name the folder that the build made.`,
      );
    }
    files.set(`/${name}`, pageFile(name, bytes));
  }
  const index = files.get('/index.html');
  if (index) files.set('/', index);
  return files;
}

async function entriesOf(folder: string) {
  try {
    return await readdir(folder, { recursive: true, withFileTypes: true });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw error;
  }
}

function pageFile(name: string, bytes: Buffer): PageFile {
  return {
    bytes,
    type: types[extname(name).toLowerCase()] ?? 'application/octet-stream',
    etag: `"${createHash('sha256').update(bytes).digest('base64url').slice(0, 22)}"`,
    // The build puts a hash of the content into the names below assets/: another content has another name.
    cacheControl: name.startsWith('assets/') ? 'public, max-age=31536000, immutable' : 'no-cache',
  };
}
