import { join, resolve } from "node:path";
import { readTrustedProxies, type TrustedProxies } from "../client/trusted-proxies.js";
import { readTracing, type TracingConfig } from "../tracing/tracing-config.js";
import { projectRoot } from "./project-root.js";
import { readVariables, type Variables } from "./variables.js";

/** Everything that can be set from outside, read once at start. */
export interface Config {
  readonly host: string;
  readonly port: number;
  readonly dataFolder: string;
  /** A PostgreSQL server to use instead of the embedded one. */
  readonly databaseUrl: string | null;
  /** A streaming replica of that server, for public reads. */
  readonly replicaUrl: string | null;
  /** A pooler in transaction mode in front of that server, for all that needs no session. */
  readonly poolerUrl: string | null;
  readonly databaseConnections: number;
  /** How long a start waits for a database that does not answer; for ever when 0. */
  readonly databaseWaitSeconds: number;
  /** Private key with which checkpoints of the audit log are signed. */
  readonly auditKeyFile: string;
  readonly demo: boolean;
  readonly logLevel: string;
  readonly sessionHours: number;
  /** The token with which the first administrator registers, in place of a random one that is printed. */
  readonly setupToken: string | null;
  /** The bearer token with which programs of other machines may read the metrics. */
  readonly metricsToken: string | null;
  /** Where a worker of its own tells whether it is well, and its metrics; nowhere when null. */
  readonly workerPort: number | null;
  /** Where people may sign in instead of with a password; null when that is not set up. */
  readonly identityProvider: IdentityProviderConfig | null;
  /** Origins whose pages may read the answers; "*" for all. */
  readonly corsOrigins: "*" | readonly string[];
  /** The proxies in front that name the client's address, in `X-Forwarded-For`. */
  readonly trustedProxies: TrustedProxies;
  /** Connections open at once from one address that is no trusted proxy's. */
  readonly connectionsPerAddress: number;
  readonly addressRequestsPerMinute: number;
  readonly accountRequestsPerMinute: number;
  readonly keyRequestsPerMinute: number;
  /** Failed logins for one handle from one address within 15 minutes. */
  readonly loginFailures: number;
  readonly uploadsPerDay: number;
  readonly uploadMebibytesPerDay: number;
  /** All logs that are stored. */
  readonly storageMebibytes: number;
  readonly evaluationThreads: number;
  /** How long one log may be evaluated. */
  readonly evaluationSeconds: number;
  /** How long an upload waits for its figures, and a decision for the comparison with other runs, before it is answered without. */
  readonly waitSeconds: number;
  /** How long one statement of a public read may take in the database. */
  readonly readSeconds: number;
  /** URL of this service as people reach it, for links; null when it is not set, and links are made of the URL that was requested. */
  readonly publicUrl: URL | null;
  /** By which server notices are mailed; null when none are. */
  readonly mail: MailConfig | null;
  /** How long a webhook may take to answer. */
  readonly webhookSeconds: number;
  /** Pauses before each further try to send something to a webhook. */
  readonly webhookRetrySeconds: readonly number[];
  /** Whether webhooks may be of this machine itself, for trials. */
  readonly webhooksToLoopback: boolean;
  /** Where spans of what is done are sent; null when nothing is traced. */
  readonly tracing: TracingConfig | null;
  /** Whether this process also works the queue, or leaves it to a worker of its own. */
  readonly runsJobs: boolean;
  /** Where the dataset is kept in place of a folder; null for the folder. */
  readonly objectStorage: ObjectStorageConfig | null;
}

/** A bucket of storage that speaks the protocol of Amazon S3. */
export interface ObjectStorageConfig {
  /** Scheme, host and port that requests are sent to. */
  readonly endpoint: URL;
  readonly bucket: string;
  /** Region that requests are signed for. */
  readonly region: string;
  /** Ahead of every key: empty, or with a slash at its end. */
  readonly prefix: string;
  /** Where the name of the bucket stands: in the path of an address, or ahead of its host. */
  readonly addressing: (typeof ADDRESSINGS)[number];
  readonly accessKeyId: string;
  readonly secretAccessKey: string;
}

const ADDRESSINGS = ["path", "virtual"] as const;

/** How long notices are gathered before they are mailed, unless `MAIL_DELAY_SECONDS` says otherwise. */
export const MAIL_DELAY_SECONDS = 60;

/** A server that takes mail by SMTP. */
export interface MailConfig {
  /** smtp: or smtps:, with user name and password where it asks for them. */
  readonly smtpUrl: URL;
  /** Address that mails come from. */
  readonly from: string;
  /** Address of this service as people reach it. */
  readonly publicUrl: URL;
  /** How long notices are gathered before they are mailed. */
  readonly delaySeconds: number;
}

/** A provider of OpenID Connect at which the service is registered as a client. */
export interface IdentityProviderConfig {
  readonly issuer: URL;
  readonly clientId: string;
  readonly clientSecret: string;
  /** Address of this service's callback as browsers reach it. */
  readonly redirectUrl: URL;
}

export const CONFIG = Symbol("config");

/** From seconds to hours, a day and more together. */
const WEBHOOK_PAUSES = [5, 300, 1_800, 7_200, 18_000, 36_000, 36_000];

export const LOG_LEVELS = ["fatal", "error", "warn", "info", "debug", "silent"] as const;

/** Reads the environment and the command line; throws one error that lists every fault by its key, never its value. */
export function readConfig(environment: NodeJS.ProcessEnv, args: readonly string[] = []): Config {
  const variables = readVariables(environment);
  const publicUrl = variables.webAddress("PUBLIC_URL");
  const dataFolder = resolve(projectRoot, variables.text("DATA_DIR", "data"));
  const config: Config = {
    host: variables.text("HOST", "127.0.0.1"),
    port: variables.whole("PORT", 3000, { min: 0, max: 65_535 }),
    dataFolder,
    databaseUrl: variables.databaseUrl("DATABASE_URL", "DATABASE_PASSWORD"),
    replicaUrl: besideDatabase(variables, "REPLICA_URL"),
    poolerUrl: besideDatabase(variables, "POOLER_URL"),
    databaseConnections: variables.whole("DATABASE_CONNECTIONS", 10, { min: 2, max: 200 }),
    databaseWaitSeconds: variables.whole("DATABASE_WAIT_SECONDS", 0, { min: 0, max: 1e6 }),
    auditKeyFile: resolve(projectRoot, variables.text("AUDIT_KEY_FILE", join(dataFolder, "audit-key.pem"))),
    // A database that others run is never filled with invented runs unless that is asked for.
    demo: variables.yesNo("DEMO", variables.text("DATABASE_URL", "") === "") && !args.includes("--no-demo"),
    logLevel: variables.oneOf("LOG_LEVEL", "warn", LOG_LEVELS),
    sessionHours: variables.whole("SESSION_HOURS", 24 * 14, { min: 1, max: 24 * 365 }),
    setupToken: variables.secret("SETUP_TOKEN", 32),
    metricsToken: variables.secret("METRICS_TOKEN", 16),
    workerPort: variables.whole("WORKER_PORT", 0, { min: 0, max: 65_535 }) || null,
    identityProvider: identityProviderOf(variables),
    corsOrigins: variables.origins("CORS_ORIGINS"),
    trustedProxies: trustedProxiesOf(variables),
    connectionsPerAddress: variables.whole("LIMIT_CONNECTIONS", 256, { min: 8, max: 1e6 }),
    addressRequestsPerMinute: variables.whole("LIMIT_ADDRESS", 300, { min: 1, max: 1e9 }),
    accountRequestsPerMinute: variables.whole("LIMIT_ACCOUNT", 600, { min: 1, max: 1e9 }),
    keyRequestsPerMinute: variables.whole("LIMIT_KEY", 600, { min: 1, max: 1e9 }),
    loginFailures: variables.whole("LIMIT_LOGIN_FAILURES", 10, { min: 1, max: 1e6 }),
    uploadsPerDay: variables.whole("LIMIT_UPLOADS", 1_000, { min: 1, max: 1e9 }),
    uploadMebibytesPerDay: variables.whole("LIMIT_UPLOAD_MIB", 4_096, { min: 1, max: 1e9 }),
    storageMebibytes: variables.whole("LIMIT_STORAGE_MIB", 65_536, { min: 1, max: 1e9 }),
    evaluationThreads: variables.whole("EVALUATION_THREADS", 2, { min: 1, max: 64 }),
    evaluationSeconds: variables.whole("EVALUATION_SECONDS", 120, { min: 1, max: 3600 }),
    waitSeconds: variables.whole("WAIT_SECONDS", 5, { min: 0, max: 60 }),
    readSeconds: variables.whole("READ_SECONDS", 10, { min: 1, max: 3600 }),
    publicUrl,
    mail: mailOf(variables, publicUrl),
    webhookSeconds: variables.whole("WEBHOOK_SECONDS", 10, { min: 1, max: 60 }),
    webhookRetrySeconds: variables.wholes("WEBHOOK_RETRY_SECONDS", WEBHOOK_PAUSES, { min: 0, max: 7 * 86_400 }),
    webhooksToLoopback: variables.yesNo("WEBHOOKS_TO_LOOPBACK", false),
    tracing: readTracing(variables),
    runsJobs: variables.yesNo("RUN_JOBS", true),
    objectStorage: objectStorageOf(variables),
  };
  for (const arg of args)
    if (arg !== "--no-demo") variables.fault(`The argument ${arg} is not known; there is --no-demo.`);
  variables.throwErrors();
  return config;
}

/** How long a start waits for its database, ms. */
export function patienceOf({ databaseWaitSeconds }: Config): number {
  return databaseWaitSeconds * 1_000 || Number.POSITIVE_INFINITY;
}

/** Another way to the server of DATABASE_URL, or to a copy of it, by the same role. */
function besideDatabase(variables: Variables, key: string): string | null {
  const address = variables.databaseUrl(key, "DATABASE_PASSWORD");
  if (address !== null && variables.text("DATABASE_URL", "") === "") {
    variables.fault(`DATABASE_URL must be set too, since ${key} is.`);
  }
  return address;
}

function trustedProxiesOf(variables: Variables): TrustedProxies {
  const proxies = readTrustedProxies(variables.text("TRUST_PROXY", "0"));
  if (proxies === null) {
    const forms = "a number of proxies from 0 to 16, or a list of their addresses or networks";
    variables.fault(`TRUST_PROXY must be ${forms}, such as 10.0.0.0/8 or loopback.`);
  }
  return proxies ?? 0;
}

function mailOf(variables: Variables, publicUrl: URL | null): MailConfig | null {
  const keys = ["SMTP_URL", "MAIL_FROM"] as const;
  const delaySeconds = variables.whole("MAIL_DELAY_SECONDS", MAIL_DELAY_SECONDS, { min: 0, max: 86_400 });
  if (!keys.some((key) => variables.isSet(key)) || !variables.together([...keys, "PUBLIC_URL"])) return null;
  const [smtpUrl, from] = [variables.smtpUrl(keys[0]), variables.mailAddress(keys[1])];
  return smtpUrl && from && publicUrl ? { smtpUrl, from, publicUrl, delaySeconds } : null;
}

function objectStorageOf(variables: Variables): ObjectStorageConfig | null {
  const keys = ["S3_ENDPOINT", "S3_BUCKET", "S3_ACCESS_KEY_ID", "S3_SECRET_ACCESS_KEY"] as const;
  const prefix = variables.formed(
    "S3_PREFIX",
    "",
    /^[\w-][\w.-]*(\/[\w-][\w.-]*)*\/?$/,
    "letters, digits, hyphens and dots between slashes",
  );
  const region = variables.formed("S3_REGION", "us-east-1", /^[\w-]{1,64}$/, "the name of a region");
  const addressing = variables.oneOf("S3_ADDRESSING", "path", ADDRESSINGS);
  if (!variables.together(keys)) return null;
  const endpoint = variables.origin(keys[0]);
  // Amazon S3, User Guide, "General purpose bucket naming rules"; others take more, and none of it is needed.
  const bucket = variables.formed(keys[1], "", /^[a-z0-9][a-z0-9.-]{1,61}[a-z0-9]$/, "the name of a bucket");
  const accessKeyId = variables.formed(keys[2], "", /^[\w-]{3,128}$/, "a key's id of 3 to 128 letters and digits");
  const secretAccessKey = variables.secret(keys[3], 8);
  if (!endpoint || !secretAccessKey) return null;
  const folder = prefix === "" || prefix.endsWith("/") ? prefix : `${prefix}/`;
  return { endpoint, bucket, region, prefix: folder, addressing, accessKeyId, secretAccessKey };
}

/** Path of the callback, behind whatever a proxy puts before it. */
const CALLBACK = "/v1/sign-ins/callback";

function identityProviderOf(variables: Variables): IdentityProviderConfig | null {
  const keys = ["OIDC_ISSUER", "OIDC_CLIENT_ID", "OIDC_CLIENT_SECRET", "OIDC_REDIRECT_URL"] as const;
  if (!variables.together(keys)) return null;
  const [issuer, clientId, clientSecret, redirectUrl] = [
    variables.webAddress(keys[0]),
    variables.text(keys[1], ""),
    variables.secret(keys[2], 16),
    variables.webAddress(keys[3]),
  ];
  if (redirectUrl && !redirectUrl.pathname.endsWith(CALLBACK)) variables.fault(`${keys[3]} must end with ${CALLBACK}.`);
  return issuer && clientSecret && redirectUrl ? { issuer, clientId, clientSecret, redirectUrl } : null;
}
