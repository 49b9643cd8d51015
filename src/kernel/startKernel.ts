import { guardProcess } from './guardProcess.js';
import type { Connection } from './message.js';
import { startServer } from './server.js';
import type { Session } from './session.js';

/** How long the first question of a client is waited for before the compiler is loaded, which takes a second or two at one go, ms. */
const firstQuestion = 150;

/** Listens on a connection with a new session; settles when a client has asked the kernel to end. */
export async function startKernel(connection: Connection): Promise<void> {
  guardProcess();
  let begin: (session: Session | Promise<Session>) => void = () => undefined;
  const coming = new Promise<Session>((resolve) => { begin = resolve; });
  const server = await startServer(coming, connection);
  process.on('SIGINT', () => void coming.then((session) => session.interrupt()));
  // The library loads in small steps, between which questions are answered.
  const library = import('../index.js');
  setTimeout(() => begin(library.then(() => import('./session.js')).then(({ createSession }) => createSession())), firstQuestion);
  void coming.then((session) => setImmediate(() => session.warm()));
  await server.ended;
  server.close();
}
