import { useEffect, useReducer, useRef, useState } from 'preact/hooks';
import { type Connection, openConnection } from './connect.ts';
import { type HouseState, historyWishes, openedState, reduceHouse } from './house-state.ts';

/** The house as the page knows it, kept live while the component stands. */
export function useHouse(): HouseState {
  const [state, take] = useReducer(reduceHouse, Date.now(), openedState);
  const connection = useRef<Connection | null>(null);
  useEffect(() => {
    const opened = openConnection(take);
    connection.current = opened;
    return () => opened.close();
  }, []);
  useEffect(() => {
    const houseNowMs = Date.now() + state.offsetMs;
    connection.current?.wantHistories(historyWishes(state, houseNowMs), houseNowMs);
  }, [state]);
  return state;
}

/** This machine's clock, renewed each second. */
export function useLocalClock(): number {
  const [nowMs, setNowMs] = useState(Date.now());
  useEffect(() => {
    const timer = setInterval(() => setNowMs(Date.now()), 1000);
    return () => clearInterval(timer);
  }, []);
  return nowMs;
}
