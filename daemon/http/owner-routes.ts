import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import { doorSettings } from '../../shared/contract/door.ts';
import { plainId } from '../../shared/contract/ids.ts';
import type { Door } from './door.ts';
import type { OwnerDesk, PeopleDesk } from './people-desk.ts';
import { refuse } from './problems.ts';
import { unservedPath } from './refusals.ts';

/** What begins the path of all that only the owner of the data folder may ask. */
const ownerPath = '/owner/';

export type OwnerRoutesOptions = {
  owner: OwnerDesk;
  people: PeopleDesk;
  doorOf: (request: FastifyRequest) => Door;
};

/** Adds what `springhouse open`, `shut` and the like ask, on the owner's socket; elsewhere it is not there. */
export function addOwnerRoutes(plain: FastifyInstance, { owner, people, doorOf }: OwnerRoutesOptions): void {
  const app = plain.withTypeProvider<ZodTypeProvider>();
  const hidden = { hide: true } as object;
  app.addHook('onRequest', async (request, reply) => {
    const isOwners = request.routeOptions.url?.startsWith(ownerPath) === true;
    if (isOwners && doorOf(request).kind !== 'owner') return refuse(reply, unservedPath(request.url));
  });

  app.post(`${ownerPath}open`, { schema: { ...hidden, body: doorSettings } }, async ({ body }, reply) =>
    faultOr(reply, await owner.open(body)),
  );
  app.post(`${ownerPath}shut`, { schema: hidden }, async () => {
    await owner.shut();
    return { v: 1, done: true };
  });
  app.get(`${ownerPath}opened`, { schema: hidden }, async () => owner.opened(false));
  app.post(
    `${ownerPath}code`,
    { schema: { ...hidden, body: z.strictObject({ person: plainId.nullable() }) } },
    async ({ body }, reply) => faultOr(reply, people.pairing(body.person)),
  );
  app.post(
    `${ownerPath}key`,
    { schema: { ...hidden, body: z.strictObject({ probe: plainId, revoke: z.boolean() }) } },
    async ({ body }, reply) => {
      const made = await owner.key(body.probe, body.revoke);
      if (made !== null && typeof made === 'object') return faultOr(reply, made);
      return { v: 1, probe: body.probe, password: made };
    },
  );
}

function faultOr<T extends object>(reply: FastifyReply, answer: T) {
  if (!('message' in answer && 'code' in answer)) return answer;
  return refuse(reply, answer as unknown as Parameters<typeof refuse>[1]) as never;
}
