import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import Fastify from 'fastify';
import { serializerCompiler, validatorCompiler } from 'fastify-type-provider-zod';
import { admit } from './admission.ts';
import { openCrowd, requestsPerSecondMax } from './crowd.ts';
import type { HouseDesk } from './desk.ts';
import { addDocumentRoute, registerDocument } from './document.ts';
import { doorOf, loopbackDoor, whoOf } from './door.ts';
import { addExportRoutes } from './export-route.ts';
import { guardRequest } from './guard.ts';
import {
  bodyBytesMax,
  closeMsMax,
  connectionsMax,
  headBytesMax,
  requestMsMax,
  stillMsMax,
} from './limits.ts';
import { heartbeatMs } from './live-feed.ts';
import { addLiveRoute, livePath } from './live-route.ts';
import { type NetworkDoorOptions, type OpenDoor, openNetworkDoor, openOwnerDoor } from './network-door.ts';
import { addNotifyRoutes } from './notify-routes.ts';
import { addOwnerRoutes } from './owner-routes.ts';
import { readPageFiles } from './page-files.ts';
import { addPageRoute } from './page-route.ts';
import type { OwnerDesk, PeopleDesk } from './people-desk.ts';
import { addDoorRoutes, addPeopleRoutes } from './people-routes.ts';
import { type HttpFault, refuse } from './problems.ts';
import { answerMalformed, refusalOf, unservedPath } from './refusals.ts';
import { addHouseRoutes, addPastRoutes, addWordRoute } from './routes.ts';
import { safeHeaders } from './safe-headers.ts';

export type HttpOptions = {
  desk: HouseDesk;
  /** A loopback address or `localhost`; another rejects with `HTTP_LISTEN`. */
  host: string;
  /** 0 takes a free port. */
  port: number;
  /** The folder of the built page; where it is missing `/` answers `PAGE_MISSING`. */
  pageFolder: string;
  /** The release, as the document names it. */
  release: string;
  /** Hears of every failure that was answered with a 500 or ended a feed. */
  onBug(error: unknown): void;
  /** Who may come in; where it is absent nobody can sign in, and only this machine asks. */
  people?: PeopleDesk;
  /** What the owner's door offers; absent where there is none. */
  owner?: OwnerDesk;
  /** For tests: how long the feed may be still before a comment. */
  heartbeatMs?: number;
};

/** A server that listens. `close` ends open feeds, lets requests under way end, and resolves within 1 s. */
export type HttpServer = {
  url: string;
  /** Opens a door to the network, or the owner's; each must be closed before the server. */
  openNetwork(options: NetworkDoorOptions): Promise<OpenDoor>;
  openOwner(path: string): Promise<OpenDoor>;
  close(): Promise<void>;
};

/** Opens the house to HTTP on loopback; other doors come later. Rejects with `HTTP_LISTEN` where the port is taken. */
export async function openHttp(options: HttpOptions): Promise<HttpServer> {
  if (!['127.0.0.1', '::1', 'localhost'].includes(options.host)) {
    throw new Error(
      `HTTP_LISTEN: the host must be 127.0.0.1, ::1 or localhost, got ${options.host}. Choose one of these.`,
    );
  }
  const { app, endFeeds } = await buildHttp(options);
  let url: string;
  try {
    url = await app.listen({ host: options.host, port: options.port });
  } catch (error) {
    await app.close();
    throw new Error(
      `HTTP_LISTEN: port ${options.port} of ${options.host} must be free, got ${(error as Error).message}. Choose another port, or end the program that has it.`,
      { cause: error },
    );
  }
  return {
    url,
    openNetwork: (network) => openNetworkDoor(app, network),
    openOwner: (path) => openOwnerDoor(app, path),
    async close() {
      endFeeds();
      const cut = setTimeout(() => app.server.closeAllConnections(), closeMsMax);
      await app.close();
      clearTimeout(cut);
    },
  };
}

/** Builds the server without listening, so that tests can `inject`; `endFeeds` must come before `close`. */
export async function buildHttp(options: HttpOptions): Promise<{ app: FastifyInstance; endFeeds(): void }> {
  const { desk, onBug } = options;
  const { people = null, owner = null } = options;
  const app = bareServer();
  const crowd = openCrowd();
  const doorFor = (request: FastifyRequest) => doorOf(request) ?? loopbackDoor(servedPort(app, options.port));
  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(serializerCompiler);
  app.removeContentTypeParser('text/plain');
  app.addHook('onRequest', async (request, reply) => {
    reply.headers(safeHeaders);
    const isFeed = request.routeOptions.url === livePath;
    const head = { method: request.method, isFeed, headers: request.headers };
    const door = doorFor(request);
    const fault =
      guardRequest(head, door) ??
      (door.kind === 'network' && !crowd.mayAsk(request.ip) ? flood : null) ??
      (request.is404 ? unservedPath(request.url) : null) ??
      (await admit(request, reply, { door, people }));
    if (fault) return refuse(reply, fault);
  });
  app.setErrorHandler((error, request, reply) => {
    const fault = refusalOf(error, request);
    if (fault.code === 'HTTP_BUG') onBug(error);
    return refuse(reply, fault);
  });
  await registerDocument(app, options.release);
  addHouseRoutes(app, desk);
  addPastRoutes(app, desk);
  addExportRoutes(app, desk, onBug);
  addWordRoute(app, desk);
  addNotifyRoutes(app, desk.notify);
  addDoorRoutes(app, { people, doorOf: doorFor });
  if (people !== null) addPeopleRoutes(app, people);
  if (people !== null && owner !== null) addOwnerRoutes(app, { owner, people, doorOf: doorFor });
  const sessionOf = (request: FastifyRequest) => whoOf(request)?.session ?? null;
  const live = addLiveRoute(app, { desk, onBug, sessionOf, heartbeatMs: options.heartbeatMs ?? heartbeatMs });
  people?.onEnded(live.endOf);
  addDocumentRoute(app);
  addPageRoute(app, await readPageFiles(options.pageFolder));
  return { app, endFeeds: live.endAll };
}

function bareServer(): FastifyInstance {
  const app = Fastify({
    logger: false,
    bodyLimit: bodyBytesMax,
    requestTimeout: requestMsMax,
    connectionTimeout: stillMsMax,
    forceCloseConnections: 'idle',
    http: { maxHeaderSize: headBytesMax, headersTimeout: requestMsMax, connectionsCheckingInterval: 2_000 },
    clientErrorHandler: answerMalformed,
    frameworkErrors: (error, request, reply) => {
      refuse(reply.headers(safeHeaders) as FastifyReply, refusalOf(error, request));
    },
  });
  app.server.maxConnections = connectionsMax;
  return app as unknown as FastifyInstance;
}

const flood: HttpFault = {
  code: 'HTTP_FLOOD',
  message: `One address must ask at most ${requestsPerSecondMax} times a second, got more. Ask less often.`,
};

function servedPort(app: FastifyInstance, port: number): number {
  const address = app.server.address();
  return address !== null && typeof address === 'object' ? address.port : port;
}
