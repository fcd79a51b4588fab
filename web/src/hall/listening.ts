/** A stream of events that comes back: after a lost network, after sleep, after the server was started again. */
import { pause } from "./queue";

interface Hearing {
    on: Record<string, (data: unknown) => void>;
    /** Whether the stream is there, whenever that changes. */
    there: (there: boolean) => void;
    /** The server refused the stream or ended it: is it still ours? Opened again if so. */
    still: () => Promise<boolean>;
}

export class Listening {
    private source: EventSource | null = null;
    private timer: ReturnType<typeof setTimeout> | undefined;
    private tries = 0;
    private wanted = false;

    constructor(
        private readonly path: string,
        private readonly hearing: Hearing,
    ) {
        addEventListener("online", () => this.again());
        document.addEventListener("visibilitychange", () => {
            if (document.visibilityState === "visible") this.again();
        });
    }

    start() {
        this.wanted = true;
        this.open();
    }
    stop() {
        this.wanted = false;
        this.close();
    }

    private close() {
        clearTimeout(this.timer);
        this.source?.close();
        this.source = null;
    }

    /** After sleep a stream may look open and be dead: a new one costs little. */
    private again() {
        this.tries = 0;
        if (this.wanted) this.open();
    }

    private open() {
        this.close();
        const source = (this.source = new EventSource(`/api/class/${this.path}`));
        source.onopen = () => {
            this.tries = 0;
            this.hearing.there(true);
        };
        source.onerror = () => {
            if (this.source !== source) return;
            this.close();
            this.hearing.there(false);
            this.timer = setTimeout(() => void this.reopen(), pause(++this.tries, Math.random()));
        };
        for (const [name, take] of Object.entries(this.hearing.on))
            source.addEventListener(name, (e) => take(JSON.parse((e as MessageEvent<string>).data)));
    }
    private async reopen() {
        if (this.wanted && (await this.hearing.still()) && this.wanted) this.open();
    }
}
