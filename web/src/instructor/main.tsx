/** The instructor's page: whoever has not signed in yet signs in here. */
import { render } from "preact";
import { get, post, trouble } from "../effects/api";

interface Room { title: string; code: string | null; address: string; warning: string | null }

const root = document.getElementById("page")!;

function SignIn(p: { words: string }) {
    const send = (event: Event) => {
        event.preventDefault();
        const passphrase = new FormData(event.currentTarget as HTMLFormElement).get("passphrase");
        post("/api/class/sign-in", { passphrase }).then(() => show(), (error: unknown) => ask(trouble(error) ?? ""));
    };
    return (
        <main>
            <h1>Instructor</h1>
            <form onSubmit={send}>
                <p><label>Passphrase <input name="passphrase" type="password" required autocomplete="current-password" /></label></p>
                <p><button>Sign in</button></p>
                <p role="alert">{p.words}</p>
            </form>
        </main>
    );
}

const ask = (words: string): void => render(<SignIn words={words} />, root);

function show(): void {
    get<Room>("/api/class/room").then(
        (room) => render(
            <main>
                <h1>{room.title}</h1>
                <p>Join at {room.address} with <strong>{room.code ?? "no code: joining is closed"}</strong></p>
                <p><img src="/api/class/qr" alt="Code of the address to join at" width="300" height="300" /></p>
                {room.warning && <p role="alert">{room.warning}</p>}
            </main>, root),
        () => ask(""));
}

show();
