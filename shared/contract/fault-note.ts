/** What an error code means, and what the person who reads it does; whole sentences. */
export type FaultNote = { meaning: string; whatToDo: string };
