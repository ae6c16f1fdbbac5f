/** Why somebody is not let in, or something about people is not done. */
export type DoorFaultCode =
  | 'DOOR_SIGN_IN'
  | 'DOOR_WRONG'
  | 'DOOR_CODE'
  | 'DOOR_WAIT'
  | 'DOOR_PASSWORD'
  | 'DOOR_NAME'
  | 'DOOR_FULL'
  | 'DOOR_UNKNOWN';

/** A refusal as a value; the message is a sentence for a person and repeats no secret. */
export type DoorFault = {
  code: DoorFaultCode;
  message: string;
  /** How long to wait before the next try, where that is what to do. */
  waitMs?: number;
};

/** Returns a fault in the common form. */
export function doorFault(code: DoorFaultCode, message: string): DoorFault {
  return { code, message };
}

/** Returns the fault of somebody who tries too often. */
export function waitFault(waitMs: number): DoorFault {
  const seconds = Math.ceil(waitMs / 1000);
  return {
    code: 'DOOR_WAIT',
    message: `The next try must be ${seconds} s from now, got one before. Wait, then try again.`,
    waitMs,
  };
}
