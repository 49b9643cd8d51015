import { randomUUID } from 'node:crypto';
import * as zmq from 'zeromq';
import { version } from '../record/version.js';
import { gatherStreams, type GatheredSink } from './gatherStreams.js';
import { newHeader, readMessage, writeMessage, type Connection, type Message } from './message.js';
import type { Session } from './session.js';

type Content = Readonly<Record<string, unknown>>;
/** Answers a request with the content of its reply. */
type Handler = (message: Message) => Content | Promise<Content>;

/** A kernel that listens. */
export interface Server {
  /** Settles when a client has asked the kernel to end. */
  readonly ended: Promise<void>;
  close(): void;
}

/**
 * Listens on the five sockets of a connection and answers the Jupyter protocol 5.3 for one session. What the kernel is can be
 * asked before the session is there; everything else waits for it.
 */
export async function startServer(coming: Promise<Session>, connection: Connection): Promise<Server> {
  const iopub = new zmq.Publisher({ linger: 1000 });
  const shell = new zmq.Router({ linger: 1000 });
  const control = new zmq.Router({ linger: 1000 });
  const stdin = new zmq.Router();
  const heartbeat = new zmq.Reply();
  const sockets = { iopub, shell, control, stdin, hb: heartbeat };
  const own = randomUUID();
  const { key } = connection;
  // What is wrong with a message is told to the terminal that started the kernel, not to a notebook.
  const complain = process.stderr.write.bind(process.stderr);
  let end: () => void = () => undefined;
  const ended = new Promise<void>((resolve) => { end = resolve; });

  const send = orderlySend();
  const publish = (parent: Message, type: string, content: Content): Promise<void> =>
    send(iopub, writeMessage({ identities: [Buffer.from(type)], header: newHeader(type, own), parent: parent.header, content }, key));

  const sinkOf = (parent: Message, silent: boolean): GatheredSink => gatherStreams({
    stream: (name, text) => void publish(parent, 'stream', { name, text }),
    display: (data, update) => void publish(parent, update ? 'update_display_data' : 'display_data', { transient: {}, ...data }),
    result: (data, count) => void (silent || publish(parent, 'execute_result', { data, metadata: {}, execution_count: count })),
  });

  const handlers: Readonly<Record<string, Handler>> = {
    kernel_info_request: () => kernelInfo(),
    execute_request: async (message) => execute(await coming, message, sinkOf(message, message.content['silent'] === true), (type, content) => void publish(message, type, content)),
    complete_request: async ({ content }) => complete(await coming, String(content['code']), Number(content['cursor_pos'])),
    inspect_request: async ({ content }) => inspect(await coming, String(content['code']), Number(content['cursor_pos'])),
    is_complete_request: async ({ content }) => isComplete(await coming, String(content['code'])),
    history_request: () => ({ status: 'ok', history: [] }),
    comm_info_request: () => ({ status: 'ok', comms: {} }),
    interrupt_request: async () => {
      (await coming).interrupt();
      return { status: 'ok' };
    },
    shutdown_request: ({ content }) => ({ status: 'ok', restart: content['restart'] === true }),
  };

  async function answer(socket: zmq.Router, frames: Buffer[]): Promise<void> {
    const message = readMessage(frames, key);
    const type = message.header.msg_type;
    const handler = handlers[type];
    void publish(message, 'status', { execution_state: 'busy' });
    if (handler) {
      const replyType = type.replace(/request$/, 'reply');
      const content = await Promise.resolve().then(() => handler(message)).catch((error: unknown) => ({ status: 'error', ename: 'KernelError', evalue: String(error), traceback: [String(error)] }));
      await send(socket, writeMessage({ identities: message.identities, header: newHeader(replyType, own), parent: message.header, content }, key));
    }
    await publish(message, 'status', { execution_state: 'idle' });
    if (type === 'shutdown_request') end();
  }

  async function listen(socket: zmq.Router): Promise<void> {
    for await (const frames of socket) void answer(socket, frames).catch((error: unknown) => complain(`${String(error)}\n`));
  }

  const { transport, ip } = connection;
  await Promise.all(Object.entries(sockets).map(([name, socket]) => socket.bind(`${transport}://${ip}:${connection[`${name as keyof typeof sockets}_port`]}`)));
  void listen(shell);
  void listen(control);
  void (async () => {
    for await (const frames of heartbeat) await heartbeat.send(frames);
  })();
  return { ended, close: () => Object.values(sockets).forEach((socket) => socket.close()) };
}

/**
 * Sends at once, so that what a cell prints is out before it goes on computing. Only where a socket is still busy does a
 * message wait, behind those that wait already.
 */
function orderlySend(): (socket: zmq.Publisher | zmq.Router, frames: Buffer[]) => Promise<void> {
  const last = new Map<object, Promise<void>>();
  const waiting = new Map<object, number>();
  const ignore = (): void => undefined;
  return (socket, frames) => {
    const before = waiting.get(socket) ?? 0;
    if (before === 0) {
      try {
        const sent = socket.send(frames).catch(ignore);
        last.set(socket, sent);
        return sent;
      } catch {
        // Busy: it waits below.
      }
    }
    waiting.set(socket, before + 1);
    const sent = (last.get(socket) ?? Promise.resolve()).then(() => socket.send(frames)).catch(ignore).finally(() => waiting.set(socket, waiting.get(socket)! - 1));
    last.set(socket, sent);
    return sent;
  };
}

async function execute(session: Session, { content }: Message, sink: GatheredSink, tell: (type: string, content: Content) => void): Promise<Content> {
  const code = String(content['code']);
  const silent = content['silent'] === true;
  const outcome = await session.execute(code, sink, {
    silent, stopOnError: content['stop_on_error'] !== false,
    onStart: (count) => { if (!silent) tell('execute_input', { code, execution_count: count }); },
  });
  sink.flush();
  if (outcome.status === 'aborted') return { status: 'aborted', execution_count: outcome.count };
  if (!outcome.fault) return { status: 'ok', execution_count: outcome.count, user_expressions: {}, payload: [] };
  const fault = { ename: outcome.fault.name, evalue: outcome.fault.message, traceback: outcome.fault.lines };
  tell('error', fault);
  return { status: 'error', execution_count: outcome.count, ...fault };
}

function complete(session: Session, code: string, cursor: number): Content {
  const { start, end, candidates } = session.complete(code, toUnits(code, cursor));
  return { status: 'ok', matches: candidates, cursor_start: toPoints(code, start), cursor_end: toPoints(code, end), metadata: {} };
}

function inspect(session: Session, code: string, cursor: number): Content {
  const text = session.inspect(code, toUnits(code, cursor));
  return { status: 'ok', found: text !== null, data: text === null ? {} : { 'text/plain': text }, metadata: {} };
}

function isComplete(session: Session, code: string): Content {
  const { completed, indent } = session.isComplete(code);
  return completed ? { status: 'complete' } : { status: 'incomplete', indent: indent ?? '' };
}

function kernelInfo(): Content {
  return {
    status: 'ok', protocol_version: '5.3', implementation: 'quillshaft', implementation_version: version,
    banner: `Quillshaft ${version} (TypeScript): every verb of the library is in scope by name, and as qs.`,
    language_info: {
      name: 'typescript', version: '5.0.4', mimetype: 'text/typescript', file_extension: '.ts', pygments_lexer: 'typescript', nbconvert_exporter: 'script',
      codemirror_mode: { name: 'javascript', mode: 'typescript', typescript: true },
    },
    help_links: [],
  };
}

/** Jupyter counts code points, the compiler counts UTF-16 units. */
function toUnits(code: string, points: number): number {
  return Array.from(code).slice(0, points).join('').length;
}

function toPoints(code: string, units: number): number {
  return Array.from(code.slice(0, units)).length;
}
