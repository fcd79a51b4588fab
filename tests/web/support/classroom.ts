/** A class held by a `voltsill serve --class` of its own, which may die and come back at the same address. */
import { spawn, type ChildProcess } from "node:child_process";
import { cpSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { examples } from "./page";

export const passphrase = "four words that differ";

export class Classroom {
    readonly folder = mkdtempSync(join(tmpdir(), "voltsill-class-"));
    url = "";
    private port = 0;
    private server: ChildProcess | null = null;

    constructor(private readonly bench: string) {
        cpSync(join(examples, bench), join(this.folder, bench));
        writeFileSync(join(this.folder, "passphrase"), `${passphrase}\n`);
    }
    async start() {
        const file = (name: string) => join(this.folder, name);
        this.server = spawn(
            process.env.VOLTSILL_PROGRAM!,
            [
                "serve",
                file(this.bench),
                "--class",
                "--store",
                file("class.sqlite"),
                "--passphrase-file",
                file("passphrase"),
                "--port",
                String(this.port),
                "--json",
                "--quiet",
            ],
            { stdio: ["ignore", "pipe", "inherit"] },
        );
        const line = await new Promise<string>((ready, failed) => {
            this.server!.stdout!.once("data", (data: Buffer) => ready(data.toString()));
            this.server!.once("exit", (code) => failed(new Error(`voltsill serve --class ended with ${code}`)));
        });
        const { url, port } = JSON.parse(line) as { url: string; port: number };
        this.url = url;
        this.port = port;
    }
    async stop(signal: "SIGTERM" | "SIGKILL") {
        const server = this.server;
        if (!server || server.exitCode !== null || server.signalCode !== null) return;
        const ended = new Promise((done) => server.once("exit", done));
        server.kill(signal);
        await ended;
    }
    async end() {
        await this.stop("SIGTERM");
        rmSync(this.folder, { recursive: true, force: true });
    }
}
