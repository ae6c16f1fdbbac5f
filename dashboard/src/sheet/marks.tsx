/** The marks of a watch's state: each a small picture of what the curve does to the line and the post. */

import type { ComponentChildren } from 'preact';
import type { WatchState } from '../../../shared/contract/api.ts';
import type { KeepState } from '../../../shared/contract/keep-view.ts';
import type { HeatState, HoldState } from '../../../shared/contract/pot-view.ts';

export type MarkName = WatchState | KeepState | HeatState | HoldState | 'nothing' | 'house-lost';

/** Draws a mark `size` px square in the colour of the text beside it; words always stand beside it. */
export function Mark({ name, size = 36 }: { name: MarkName; size?: number }) {
  return (
    <svg
      class="mark"
      width={size}
      height={size}
      viewBox="0 0 36 36"
      fill="none"
      stroke="currentColor"
      stroke-linecap="round"
      stroke-linejoin="round"
      stroke-width="2.7"
      aria-hidden="true"
    >
      {picture(name)}
    </svg>
  );
}

const line = <path d="M2 25.5H34" stroke-width="1.8" />;
const upper = <path d="M2 10.5H34" stroke-width="1.8" />;
const post = <path d="M25.5 3.5V32.5" stroke-width="1.8" />;

function Cooling({ children }: { children: ComponentChildren }) {
  return (
    <>
      {line}
      {post}
      {children}
    </>
  );
}

function dot(x: number, y: number, radius = 4) {
  return <circle cx={x} cy={y} r={radius} fill="currentColor" stroke="none" />;
}

function picture(name: MarkName) {
  switch (name) {
    case 'on-course':
      return (
        <Cooling>
          <path d="M4 5.5C6.5 15 11 22.5 18.5 30.5" />
          <path d="M12.6 31H19V24.6" stroke-width="2.2" />
        </Cooling>
      );
    case 'not-on-course':
      return (
        <Cooling>
          <path d="M4 6C11 12 19 15.5 33 17.6" />
          {dot(25.5, 16.3)}
        </Cooling>
      );
    case 'made':
      return (
        <Cooling>
          <path d="M4 5.5C6 15 9.5 23 15 29.5" />
          {dot(15.6, 30.6, 4.2)}
        </Cooling>
      );
    case 'missed':
    case 'late':
      return (
        <Cooling>
          <path d="M4 5C11 10 17 12 29 13.6" />
          <path d="M27.4 10.2L34 16.8M34 10.2L27.4 16.8" />
        </Cooling>
      );
    case 'silent':
      return (
        <Cooling>
          <path d="M4 5.5C6 10.5 8 13.4 11 15.8" />
          <circle cx="17.4" cy="19" r="3.7" stroke-width="2.2" />
        </Cooling>
      );
    case 'too-early':
      return (
        <Cooling>
          <path d="M4 4.5C5 7.5 6 9.4 7.4 11.2" />
          <path d="M8 12C14 15.6 21 16.8 33 17.2M8 12C11.6 17.6 14.6 24 18.4 32" stroke-width="1.9" />
          {dot(8, 11.8, 4)}
        </Cooling>
      );
    case 'doubted':
      return (
        <Cooling>
          <path d="M4 5.5C5.6 9 7 11.4 9 13.4M21.5 20C24.5 21 28 21.6 33 22" />
          {dot(12.8, 7.8, 2.7)}
          {dot(17.6, 29.8, 2.7)}
        </Cooling>
      );
    case 'keeping':
      return (
        <>
          {upper}
          <path d="M3 24C6.5 15.5 11 15.5 14.5 21.5S23 29 26.5 22.5 31.5 17.5 33 18.5" />
        </>
      );
    case 'leaving':
      return (
        <>
          {upper}
          <path d="M3 29.5C12 29.5 19 27 26.5 15.5" />
          <path d="M20.6 15.4L27 14.4L28.4 20.6" stroke-width="2.2" />
        </>
      );
    case 'left':
      return (
        <>
          {upper}
          <path d="M3 30C11 29.5 17 24 22 10.5" />
          {dot(23.6, 5.4)}
        </>
      );
    case 'heat-off':
    case 'reached':
    case 'over':
      return (
        <>
          {upper}
          <path d="M4 32C8 22 13 12.5 21 8.5" />
          {dot(24, 6.6)}
        </>
      );
    case 'waiting':
      return (
        <>
          {upper}
          <path d="M4 32C7 27 9 23 11 20" />
          {dot(12, 19)}
        </>
      );
    case 'holding':
    case 'drifting':
    case 'proved':
    case 'cooled':
      return (
        <>
          {line}
          <path d="M4 32C6 17 9 12 14 12S25 14.5 32 17" />
        </>
      );
    case 'begun-again':
      return (
        <>
          {line}
          <path d="M4 32C6 17 8 13 11 13S15 18 17 27.5C19 18 22 14 25 14S30 15.5 32 17" />
        </>
      );
    case 'ended':
    case 'nothing':
      return (
        <>
          {line}
          <path d="M25.5 4V32" stroke-width="2.4" stroke-dasharray="0.1 5" />
        </>
      );
    case 'house-lost':
      return (
        <>
          {line}
          <path d="M5 17C9 9.5 13 9.5 16.5 15" />
          <path d="M21 17.5H21.1M26 15.5H26.1M31 13.5H31.1" stroke-width="3" />
        </>
      );
    default:
      return name satisfies never;
  }
}
