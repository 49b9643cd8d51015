import type { Connection } from './message.js';
import { startServer } from './server.js';
import { createSession, guardProcess } from './session.js';

/** Listens on a connection with a new session; settles when a client has asked the kernel to end. */
export async function startKernel(connection: Connection): Promise<void> {
  guardProcess();
  const session = createSession();
  const server = await startServer(session, connection);
  process.on('SIGINT', () => session.interrupt());
  setImmediate(() => session.warm());
  await server.ended;
  server.close();
  session.close();
}
