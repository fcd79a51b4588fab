/** The learners' page: whoever has not joined yet joins here. */
import { render } from "preact";
import { get, post, trouble } from "../effects/api";

interface Who { role: "nobody" | "learner" | "instructor" }

const root = document.getElementById("page")!;

function Join(p: { words: string; joined: () => void }) {
    const send = (event: Event) => {
        event.preventDefault();
        const fields = new FormData(event.currentTarget as HTMLFormElement);
        post("/api/class/join", { code: fields.get("code"), nickname: fields.get("nickname") }).then(
            p.joined, (error: unknown) => show(trouble(error) ?? ""));
    };
    return (
        <main>
            <h1>Join the class</h1>
            <form onSubmit={send}>
                <p><label>Code <input name="code" required autocomplete="off" defaultValue={location.hash.slice(1)} /></label></p>
                <p><label>Nickname <input name="nickname" required maxLength={24} autocomplete="off" /></label></p>
                <p><button>Join</button></p>
                <p role="alert">{p.words}</p>
            </form>
        </main>
    );
}

function show(words = ""): void {
    get<Who>("/api/class/who").then(
        (who) => who.role === "learner"
            ? render(<main><h1>You have joined</h1></main>, root)
            : render(<Join words={words} joined={show} />, root),
        (error: unknown) => render(<p role="alert">{trouble(error)}</p>, root));
}

show();
