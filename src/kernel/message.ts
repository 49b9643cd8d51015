import { createHmac, randomUUID } from 'node:crypto';

/** The connection file that a Jupyter client writes for a kernel. */
export interface Connection {
  readonly transport: string;
  readonly ip: string;
  readonly key: string;
  readonly signature_scheme: string;
  readonly shell_port: number;
  readonly iopub_port: number;
  readonly stdin_port: number;
  readonly control_port: number;
  readonly hb_port: number;
}

/** The header of a message of the Jupyter protocol. */
export interface Header {
  readonly msg_id: string;
  readonly msg_type: string;
  readonly session: string;
  readonly username: string;
  readonly date: string;
  readonly version: string;
}

/** A message of the Jupyter protocol 5.3. */
export interface Message {
  /** The routing prefix: who asked. */
  readonly identities: readonly Buffer[];
  readonly header: Header;
  readonly parent: Partial<Header>;
  readonly content: Readonly<Record<string, unknown>>;
}

const delimiter = '<IDS|MSG>';

/** Opens the frames of a message. @throws Error for frames that are no message, or a signature that is not the key's */
export function readMessage(frames: readonly Buffer[], key: string): Message {
  const at = frames.findIndex((frame) => frame.toString('latin1') === delimiter);
  if (at < 0 || frames.length < at + 6) throw new Error('these frames are no Jupyter message');
  const parts = frames.slice(at + 2);
  if (key !== '' && sign(parts.slice(0, 4), key) !== frames[at + 1]!.toString()) throw new Error('the signature of the message is not that of the key');
  const [header, parent, , content] = parts.slice(0, 4).map((part) => JSON.parse(part.toString()) as object);
  return { identities: frames.slice(0, at), header: header as Header, parent: parent as Partial<Header>, content: content as Message['content'] };
}

/** The frames of a message. */
export function writeMessage(message: Message, key: string): Buffer[] {
  const parts = [message.header, message.parent, {}, message.content].map((part) => Buffer.from(JSON.stringify(part)));
  return [...message.identities, Buffer.from(delimiter), Buffer.from(key === '' ? '' : sign(parts, key)), ...parts];
}

/** A header of a new message. */
export function newHeader(type: string, session: string): Header {
  return { msg_id: randomUUID(), msg_type: type, session, username: 'kernel', date: new Date().toISOString(), version: '5.3' };
}

function sign(parts: readonly Buffer[], key: string): string {
  const hash = createHmac('sha256', key);
  for (const part of parts) hash.update(part);
  return hash.digest('hex');
}
