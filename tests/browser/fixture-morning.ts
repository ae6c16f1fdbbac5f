/** 7:04 on Saturday 18 April 2026 where the invented house stands. */
export const morningMs = Date.UTC(2026, 3, 18, 13, 4);
