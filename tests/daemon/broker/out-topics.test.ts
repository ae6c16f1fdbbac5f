import { describe, expect, test } from 'vitest';
import { outPump } from '../../../daemon/broker/out-pump.ts';
import { outQueue, waitingMessagesMax } from '../../../daemon/broker/out-queue.ts';
import type { OutMessage } from '../../../daemon/broker/out-topics.ts';
import {
  aliveMessage,
  noticeMessage,
  stateMessage,
  watchMessage,
} from '../../../daemon/broker/out-topics.ts';
import { chill, jar, noticeOf } from './said.ts';

const notice = noticeOf(5);

function numbered(n: number, retain: boolean): OutMessage {
  return { topic: retain ? `t/${n}` : 't', payload: String(n), retain, qos: 1 };
}

describe('the out topics', () => {
  test('carry each view as JSON, the last values kept for newcomers', () => {
    expect(stateMessage('larkfell', jar)).toEqual({
      topic: 'springhouse/larkfell/state/jar',
      payload: JSON.stringify(jar),
      retain: true,
      qos: 0,
    });
    expect(watchMessage('larkfell', chill)).toEqual({
      topic: 'springhouse/larkfell/watch/chill-jar-17',
      payload: JSON.stringify(chill),
      retain: true,
      qos: 1,
    });
    expect(noticeMessage('larkfell', notice)).toEqual({
      topic: 'springhouse/larkfell/notice',
      payload: JSON.stringify(notice),
      retain: false,
      qos: 1,
    });
    expect([aliveMessage('larkfell', true), aliveMessage('larkfell', false)]).toEqual([
      { topic: 'springhouse/larkfell/alive', payload: '1', retain: true, qos: 1 },
      { topic: 'springhouse/larkfell/alive', payload: '0', retain: true, qos: 1 },
    ]);
  });

  test('let brokers forget a watch that ended', () => {
    expect(watchMessage('larkfell', { ...chill, state: 'ended' }).payload).toBe('');
  });
});

describe('the queue of messages', () => {
  test('gives them in order, a newer last value in the place of the older', () => {
    const queue = outQueue();
    queue.put(numbered(1, true));
    queue.put(numbered(2, false));
    queue.put({ ...numbered(1, true), payload: 'newer' });
    queue.put(numbered(3, false));
    expect(
      [queue.take(), queue.take(), queue.take(), queue.take()].map((message) => message?.payload),
    ).toEqual(['newer', '2', '3', undefined]);
    expect(queue.dropped()).toBe(0);
  });

  test('drops the oldest where too many wait, and counts it', () => {
    const queue = outQueue();
    for (let i = 0; i < waitingMessagesMax + 3; i += 1) queue.put(numbered(i, i % 2 === 0));
    expect([queue.size(), queue.dropped(), queue.take()?.payload]).toEqual([waitingMessagesMax, 3, '3']);
  });

  test('takes a message back unless a newer last value waits', () => {
    const queue = outQueue();
    queue.put({ ...numbered(1, true), payload: 'newer' });
    queue.putBack(numbered(1, true));
    queue.putBack(numbered(2, false));
    expect([queue.take()?.payload, queue.take()?.payload, queue.size()]).toEqual(['newer', '2', 0]);
  });
});

describe('the pump of messages', () => {
  test('keeps messages until the way is open, and no more than some leave at once', async () => {
    const sent: string[] = [];
    const dones: (() => void)[] = [];
    const pump = outPump(({ payload }, done) => {
      sent.push(payload);
      dones.push(() => done());
    }, 4);
    for (let i = 0; i < 20; i += 1) pump.publish(numbered(i, false));
    expect(sent).toEqual([]);
    pump.setOpen(true);
    expect(sent).toHaveLength(4);
    const emptied = pump.empty(5_000);
    while (dones.length > 0) dones.shift()?.();
    expect([await emptied, sent.length, pump.dropped()]).toEqual([true, 20, 0]);
  });

  test('tries again what could not leave, but not at once', () => {
    const tried: string[] = [];
    let isBroken = true;
    const pump = outPump(({ payload }, done) => {
      tried.push(payload);
      done(isBroken ? new Error('Connection closed') : undefined);
    }, 4);
    pump.setOpen(true);
    pump.publish(numbered(1, false));
    expect(tried).toEqual(['1']);
    isBroken = false;
    pump.setOpen(true);
    expect([tried, pump.dropped()]).toEqual([['1', '1'], 0]);
  });

  test('says after a while that it is not empty, and drops and counts what comes after its end', async () => {
    const pump = outPump(() => {}, 4);
    pump.setOpen(true);
    pump.publish(numbered(1, false));
    expect(await pump.empty(1)).toBe(false);
    pump.stop();
    pump.publish(numbered(2, false));
    expect(pump.dropped()).toBe(1);
  });
});
