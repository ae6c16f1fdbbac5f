/** The shortest and longest password; a shorter or longer one is refused with `DOOR_PASSWORD`. */
export const passwordChars = { min: 10, max: 128 } as const;
