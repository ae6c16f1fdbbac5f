/** Measures of an open page, taken inside the browser: each function here is sent there as text. */

import type { Page } from 'playwright-core';

type Rect = { left: number; right: number; top: number; bottom: number; width: number; height: number };
type PageElement = { tagName: string; textContent: string; getBoundingClientRect(): Rect };
type TextNode = { data: string; parentElement: PageElement | null };
declare const document: {
  body: PageElement;
  documentElement: { scrollWidth: number; clientWidth: number };
  querySelectorAll(selector: string): Iterable<PageElement>;
  createTreeWalker(root: PageElement, what: number): { nextNode(): TextNode | null };
};
declare const getComputedStyle: (element: PageElement) => { fontSize: string; lineHeight: string };

/** How many pixels the page is wider than its window. */
export function overflowPx(page: Page): Promise<number> {
  return page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
}

/** The words and sizes of everything that can be pressed and is smaller than `leastPx` either way. */
export function smallTargets(page: Page, leastPx: number): Promise<string[]> {
  return page.evaluate((least) => {
    const small: string[] = [];
    for (const target of document.querySelectorAll('button, a[href], input, select, summary')) {
      const { height, width } = target.getBoundingClientRect();
      if (width < least || height < least) small.push(`${target.textContent} ${width} × ${height}`);
    }
    return small;
  }, leastPx);
}

/** The words set in type smaller than `leastPx`. */
export function smallWords(page: Page, leastPx: number): Promise<string[]> {
  return page.evaluate((least) => {
    const small: string[] = [];
    const textNodes = 4;
    const walker = document.createTreeWalker(document.body, textNodes);
    for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
      const holder = node.parentElement;
      if (holder === null || node.data.trim() === '' || holder.getBoundingClientRect().width === 0) continue;
      const px = Number.parseFloat(getComputedStyle(holder).fontSize);
      if (px < least) small.push(`${node.data} ${px}`);
    }
    return small;
  }, leastPx);
}

/** The lines of large type that break into more than `most` lines. */
export function longLines(page: Page, most: number): Promise<string[]> {
  return page.evaluate((lines) => {
    const long: string[] = [];
    for (const line of document.querySelectorAll('.statement .say, .statement .or')) {
      const { height } = line.getBoundingClientRect();
      if (height > (lines + 0.5) * Number.parseFloat(getComputedStyle(line).lineHeight))
        long.push(line.textContent);
    }
    return long;
  }, most);
}

/** Where the picture of the first watch ends, in pixels from the top of the page: smaller print may follow it. */
export function firstWatchEndPx(page: Page): Promise<number> {
  return page.evaluate(() => {
    for (const watch of document.querySelectorAll('.first-watch .picture.full'))
      return watch.getBoundingClientRect().bottom;
    return Number.NaN;
  });
}
