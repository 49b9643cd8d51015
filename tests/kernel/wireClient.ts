import { spawn, type ChildProcess } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as zmq from 'zeromq';
import { newHeader, readMessage, writeMessage, type Connection, type Message } from '../../src/kernel/message.js';

/** A kernel process and the connection by which clients reach it. */
export interface RunningKernel {
  readonly process: ChildProcess;
  readonly connection: Connection;
  readonly file: string;
  stop(): Promise<void>;
}

/** Starts a kernel by a command in which `{connection_file}` stands for the file, as Jupyter does. */
export async function launch(argv: readonly string[], cwd: string): Promise<RunningKernel> {
  const dir = mkdtempSync(join(tmpdir(), 'kernel-'));
  const file = join(dir, 'connection.json');
  const [shell, iopub, stdin, control, hb] = await freePorts(5);
  const connection: Connection = {
    transport: 'tcp', ip: '127.0.0.1', key: randomUUID(), signature_scheme: 'hmac-sha256', shell_port: shell!, iopub_port: iopub!, stdin_port: stdin!, control_port: control!, hb_port: hb!,
  };
  writeFileSync(file, JSON.stringify(connection));
  const child = spawn(argv[0]!, argv.slice(1).map((word) => word.replace('{connection_file}', file)), { cwd, stdio: 'ignore' });
  const gone = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  return {
    process: child, connection, file,
    async stop() {
      if (child.exitCode === null && child.signalCode === null) child.kill('SIGKILL');
      await gone;
      rmSync(dir, { recursive: true, force: true });
    },
  };
}

async function freePorts(count: number): Promise<number[]> {
  const servers = await Promise.all(Array.from({ length: count }, () => new Promise<ReturnType<typeof createServer>>((resolve) => {
    const server = createServer().listen(0, '127.0.0.1', () => resolve(server));
  })));
  const ports = servers.map((server) => (server.address() as { port: number }).port);
  await Promise.all(servers.map((server) => new Promise((resolve) => server.close(resolve))));
  return ports;
}

/** What came back for one request. */
export interface Exchange {
  readonly reply: Message['content'];
  /** Messages on the output socket between busy and idle, those two left out. */
  readonly outputs: readonly { readonly type: string; readonly content: Record<string, unknown> }[];
}

/** A client of the Jupyter protocol, for one test. */
export interface WireClient {
  readonly session: string;
  /** Every output message of every client that was seen. */
  readonly seen: readonly { readonly type: string; readonly session: string; readonly content: Record<string, unknown> }[];
  ask(type: string, content: object, channel?: 'shell' | 'control'): Promise<Exchange>;
  execute(code: string): Promise<Exchange>;
  close(): void;
}

/** Connects to a kernel and waits until it answers. */
export async function connect(connection: Connection): Promise<WireClient> {
  const session = randomUUID();
  const address = (port: number): string => `${connection.transport}://${connection.ip}:${port}`;
  const sockets = { shell: new zmq.Dealer({ routingId: session, linger: 0 }), control: new zmq.Dealer({ routingId: session, linger: 0 }), iopub: new zmq.Subscriber({ linger: 0 }) };
  sockets.shell.connect(address(connection.shell_port));
  sockets.control.connect(address(connection.control_port));
  sockets.iopub.connect(address(connection.iopub_port));
  sockets.iopub.subscribe();
  const waiting = new Map<string, { reply: Message['content'] | null; outputs: Exchange['outputs'][number][]; idle: boolean; done: (exchange: Exchange) => void }>();
  const seen: WireClient['seen'][number][] = [];
  let heard = false;
  const settle = (id: string): void => {
    const entry = waiting.get(id);
    if (!entry?.reply || !entry.idle) return;
    waiting.delete(id);
    entry.done({ reply: entry.reply, outputs: entry.outputs });
  };
  const listen = async (socket: zmq.Dealer): Promise<void> => {
    for await (const frames of socket) {
      const message = readMessage(frames, connection.key);
      const entry = waiting.get(message.parent.msg_id!);
      if (entry) entry.reply = message.content;
      settle(message.parent.msg_id!);
    }
  };
  void listen(sockets.shell);
  void listen(sockets.control);
  void (async () => {
    for await (const frames of sockets.iopub) {
      heard = true;
      const message = readMessage(frames, connection.key);
      const entry = waiting.get(message.parent.msg_id!);
      const content = message.content as Record<string, unknown>;
      if (message.header.msg_type !== 'status') seen.push({ type: message.header.msg_type, session: message.parent.session!, content });
      if (!entry) continue;
      if (message.header.msg_type !== 'status') entry.outputs.push({ type: message.header.msg_type, content });
      else if (content['execution_state'] === 'idle') entry.idle = true;
      settle(message.parent.msg_id!);
    }
  })();
  const client: WireClient = {
    session, seen,
    ask(type, content, channel = 'shell') {
      const header = newHeader(type, session);
      return new Promise((done) => {
        waiting.set(header.msg_id, { reply: null, outputs: [], idle: false, done });
        void sockets[channel].send(writeMessage({ identities: [], header, parent: {}, content: content as Message['content'] }, connection.key));
      });
    },
    execute: (code) => client.ask('execute_request', { code, silent: false, store_history: true, user_expressions: {}, allow_stdin: false, stop_on_error: true }),
    close: () => Object.values(sockets).forEach((socket) => socket.close()),
  };
  // The output socket misses what is sent before it is connected: ask until it is heard.
  while (!heard) await Promise.race([client.ask('kernel_info_request', {}), new Promise((resolve) => setTimeout(resolve, 200))]);
  return client;
}

/** The text of the outputs of one type. */
export function texts(exchange: Exchange, type: 'stream' | 'execute_result' | 'display_data'): string {
  return exchange.outputs.filter((output) => output.type === type)
    .map((output) => (type === 'stream' ? output.content['text'] : (output.content['data'] as Record<string, unknown>)['text/plain'])).join('');
}
