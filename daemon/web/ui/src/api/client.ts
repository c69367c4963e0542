// The JSON interface below /api/v1/: requests with the session's token, errors as one line with what to do.

export type Role = "wall" | "reviewer" | "manager" | "administrator";
export interface Session {
  name: string;
  role: Role;
  token: string;
}

const roles: readonly Role[] = ["wall", "reviewer", "manager", "administrator"];

export class RequestFailed extends Error {
  constructor(
    readonly status: number, // 0: the station does not answer
    readonly what: string,
    readonly toDo: string,
  ) {
    super(toDo ? `${what}: ${toDo}` : what);
  }
}

let session: Session | null = null;
let ended: () => void = () => {};

export const whoIsHere = () => session;
export const may = (least: Role) => session !== null && roles.indexOf(session.role) >= roles.indexOf(least);
/** `then` is called when the server says that nobody is logged in any more. */
export const whenSessionEnds = (then: () => void) => void (ended = then);

export async function request<T>(method: string, path: string, body?: unknown): Promise<T> {
  const headers: Record<string, string> = {};
  if (method !== "GET" && session) headers["X-Quietpass-Token"] = session.token;
  if (body !== undefined) headers["Content-Type"] = "application/json";
  let reply: Response;
  try {
    reply = await fetch(`/api/v1${path}`, {
      method,
      headers,
      body: body === undefined ? undefined : JSON.stringify(body),
      credentials: "same-origin",
    });
  } catch {
    throw new RequestFailed(0, "no_answer", "");
  }
  if (reply.ok) {
    const text = await reply.text();
    return (text ? JSON.parse(text) : undefined) as T;
  }
  let what = `HTTP ${reply.status}`;
  let toDo = "";
  try {
    const { error } = (await reply.json()) as { error: { what: string; do: string } };
    what = error.what;
    toDo = error.do;
  } catch {
    // not this server's own words
  }
  if (reply.status === 401 && session) {
    session = null;
    ended();
  }
  throw new RequestFailed(reply.status, what, toDo);
}

export const get = <T>(path: string) => request<T>("GET", path);
export const post = <T>(path: string, body: unknown = {}) => request<T>("POST", path, body);

/** "?a=1&b=2" of what is set. */
export function query(values: Record<string, string | number | undefined | null>): string {
  const set = Object.entries(values).filter(([, value]) => value !== undefined && value !== null && value !== "");
  return set.length ? `?${new URLSearchParams(set.map(([key, value]) => [key, String(value)]))}` : "";
}

export async function recall(): Promise<Session | null> {
  try {
    session = await get<Session>("/session");
  } catch (error) {
    if (!(error instanceof RequestFailed) || error.status !== 401) throw error;
    session = null;
  }
  return session;
}
export async function logIn(name: string, password: string): Promise<Session> {
  session = await post<Session>("/login", { name, password });
  return session;
}
export async function logOut(): Promise<void> {
  await post("/logout");
  session = null;
}
