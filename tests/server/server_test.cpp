// The server over its sockets: answers, limits, slow and leaving clients, two tabs.
#include <fmt/format.h>
#include <netinet/in.h>
#include <sys/socket.h>

#include <thread>

#include "served.h"
#include "server/bench_folder.h"

namespace {
using namespace voltsill::testing;
using voltsill::server::content_version;
using Wait = Client::Wait;
using nlohmann::json;
namespace fs = std::filesystem;

/// Work that lasts: a placement takes seconds.
json lengthy() { return {{"file", "bench.toml"}, {"text", example_text("rain-garden")}, {"for", "all"}}; }

/// By how much more time an instrumented program gets: it is some ten times as slow.
int pace() { return std::getenv("VOLTSILL_SANITIZED") ? 20 : 1; }

TEST(Server, PageCarriesTokenAndNonceAndNothingInline) {
    const Served s;
    const Reply page = s.get("/");
    ASSERT_EQ(page.status, 200);
    EXPECT_EQ(page.headers.at("content-type"), "text/html; charset=utf-8");
    const Served other;
    const auto content = [](const Reply& reply, const std::string& name) {
        const std::size_t at = reply.body.find("\"" + name + "\" content=\"");
        EXPECT_NE(at, std::string::npos) << name;
        const std::size_t begin = reply.body.find("content=\"", at) + 9;
        return reply.body.substr(begin, reply.body.find('"', begin) - begin);
    };
    EXPECT_EQ(content(page, "voltsill-token").size(), 64u);
    EXPECT_NE(content(page, "voltsill-token"), content(other.get("/"), "voltsill-token"));
    EXPECT_EQ(content(page, "voltsill-token"), content(s.get("/"), "voltsill-token"));
    const std::string nonce = content(page, "voltsill-style-nonce");
    EXPECT_NE(nonce, content(s.get("/"), "voltsill-style-nonce")) << "a nonce is used once";
    EXPECT_NE(page.headers.at("content-security-policy").find("'nonce-" + nonce + "'"), std::string::npos);
    EXPECT_EQ(page.body.find("__VOLTSILL"), std::string::npos);
    // Every script and style of the page is one of its assets, and is there.
    int parts = 0;
    for (std::size_t at = 0; (at = page.body.find("assets/", at)) != std::string::npos; ++parts) {
        const std::string path = page.body.substr(at, page.body.find('"', at) - at);
        EXPECT_EQ(s.get("/" + path).status, 200) << path;
        at += path.size();
    }
    EXPECT_GT(parts, 1);
}

TEST(Server, GuardStandsBeforeEverything) {
    const Served s;
    const Headers rebound = {{"Host", "rebound.example:" + std::to_string(s.port())}};
    for (const char* target :
         {"/", "/api/about", "/api/file?path=a.toml", "/api/events?file=a.toml", "/api/nonsense"}) {
        const Reply refused = s.get(target, rebound);
        EXPECT_EQ(refused.status, 403) << target;
        EXPECT_EQ(refused.code(), "wrong-host") << target;
        EXPECT_EQ(refused.headers.at("x-content-type-options"), "nosniff");
        EXPECT_FALSE(refused.headers.contains("access-control-allow-origin"));
    }
    EXPECT_EQ(s.get("/api/about", {{"Origin", "http://elsewhere.example"}}).code(), "wrong-origin");
    EXPECT_EQ(s.get("/", {{"Sec-Fetch-Site", "cross-site"}}).code(), "wrong-origin");
    const std::string plain = request_bytes(s.port(), "POST", "/api/check", "{}");
    EXPECT_EQ(s.sent(plain).reply().status, 401);
    // A preflight of a foreign page is not answered with leave to go on.
    const Reply preflight = s.sent(request_bytes(s.port(), "OPTIONS", "/api/check", {},
                                                 {{"Origin", "http://elsewhere.example"}})).reply();
    EXPECT_EQ(preflight.status, 403);
}

TEST(Server, ListensOnLoopbackOnly) {
    const Served s;
    sockaddr_in address{};
    socklen_t size = sizeof address;
    const Client client(s.port());
    ASSERT_EQ(getpeername(client.descriptor(), reinterpret_cast<sockaddr*>(&address), &size), 0);
    // The sockets of this machine that listen, from the kernel: all of ours are 127.0.0.1 (0100007F).
    const std::string port = fmt::format(":{:04X} 00000000:0000 0A", s.port());
    std::ifstream table("/proc/net/tcp");
    int found = 0;
    for (std::string line; std::getline(table, line);)
        if (line.find(port) != std::string::npos) {
            ++found;
            EXPECT_NE(line.find("0100007F" + port), std::string::npos) << line;
        }
    EXPECT_EQ(found, 1);
}

TEST(Server, TheNextPortIsTakenWhenNoneWasAsked) {
    const Served first;
    auto taken = voltsill::server::Server::start({.path = first.folder().path(""), .port = first.port()});
    ASSERT_FALSE(taken);
    EXPECT_NE(taken.error().find(std::to_string(first.port())), std::string::npos);
    auto a = voltsill::server::Server::start({.path = first.folder().path("")});
    auto b = voltsill::server::Server::start({.path = first.folder().path("")});
    ASSERT_TRUE(a && b);
    EXPECT_NE((*a)->port(), (*b)->port());
}

TEST(Server, AnswersOneAfterTheOtherOnOneConnection) {
    const Served s;
    Client client(s.port());
    const json body = {{"text", small_bench}};
    for (int k = 0; k < 20; ++k) {
        client.send(s.bytes("POST", "/api/check", body.dump()));
        const Reply reply = client.reply();
        ASSERT_EQ(reply.status, 200);
        ASSERT_EQ(reply.json()["format"], "voltsill-check-1");
    }
    // Two requests sent at once are answered in order (RFC 9112, 9.3.2).
    client.send(s.bytes("GET", "/api/about") + s.bytes("GET", "/api/files"));
    EXPECT_EQ(client.reply().json()["format"], "voltsill-about-1");
    EXPECT_EQ(client.reply().json()["format"], "voltsill-files-1");
}

TEST(Server, AMistakeInABenchIsNoErrorOfHttp) {
    const Served s;
    for (const char* call : {"check", "plan", "readings", "report"}) {
        const Reply reply = s.post(std::string("/api/") + call, {{"file", "b.toml"}, {"text", "title = 3"}});
        EXPECT_EQ(reply.status, 200) << call;
        EXPECT_EQ(reply.json()["accepted"], false) << call;
        EXPECT_EQ(reply.json()["problems"][0]["place"]["file"], "b.toml") << call;
    }
    EXPECT_EQ(s.post("/api/pdf", {{"text", "title = 3"}}).status, 422);
}

TEST(Server, BodiesOverTheLimitAreRefusedHoweverTheyCome) {
    const Served s;
    const std::string large(9u << 20, ' ');
    const Reply stated = s.sent(s.bytes("POST", "/api/check", large)).reply();
    EXPECT_EQ(stated.status, 413);
    // In pieces without a stated length (RFC 9112, 7.1).
    Client client(s.port());
    client.send(request_bytes(s.port(), "POST", "/api/check", {},
                              s.with_token({{"Content-Length", ""}, {"Transfer-Encoding", "chunked"}})));
    std::string piece = "100000\r\n" + std::string(0x100000, ' ') + "\r\n";
    for (int k = 0; k < 9; ++k) client.send(piece);
    client.send("0\r\n\r\n");
    EXPECT_EQ(client.reply().status, 413);
    // Just within it, nothing but a mistake in the JSON.
    EXPECT_EQ(s.sent(s.bytes("POST", "/api/check", std::string(8u << 20, ' '))).reply().status, 400);
}

TEST(Server, BodiesOfAllTogetherAreLimited) {
    voltsill::server::ServerOptions options;
    options.most_held = 1u << 20;
    const Served s(options);
    Client holding(s.port());
    const std::string whole = s.bytes("POST", "/api/check", std::string(900'000, ' '));
    holding.send(std::string_view(whole).substr(0, whole.size() - 1));
    std::this_thread::sleep_for(std::chrono::milliseconds(300));
    const Reply refused = s.sent(s.bytes("POST", "/api/check", std::string(500'000, ' '))).reply();
    EXPECT_EQ(refused.status, 429);
    EXPECT_EQ(refused.headers.at("retry-after"), "1");
    holding.close();
    std::this_thread::sleep_for(std::chrono::milliseconds(500));
    EXPECT_EQ(s.sent(s.bytes("POST", "/api/check", std::string(500'000, ' '))).reply().status, 400) << "given back";
}

TEST(Server, HeadsAreLimited) {
    const Served s;
    const std::string many(40'000, 'a');
    const Reply reply = s.get("/api/about", {{"X-Long", many}});
    EXPECT_TRUE(reply.status == 431 || reply.status == 0) << reply.status;  // RFC 6585, 5
    EXPECT_NE(s.get("/api/about?x=" + many).status, 200);
    EXPECT_EQ(s.get("/api/about").status, 200);
}

TEST(Server, ConnectionsThatNeverSayAnythingGiveTheirPlaceBack) {
    voltsill::server::ServerOptions options;
    options.most_connections = 8;
    options.patience.first = Wait(1000);
    const Served s(options);
    Client known(s.port());  // has asked once: between two requests it may be silent for longer
    known.send(s.bytes("GET", "/api/files"));
    ASSERT_EQ(known.reply().status, 200);
    const auto begin = std::chrono::steady_clock::now();
    std::vector<Client> silent;
    for (int k = 0; k < 7; ++k) silent.emplace_back(s.port());
    EXPECT_EQ(s.get("/api/files").status, 200) << "every place was held, and is free again";
    const auto waited = std::chrono::steady_clock::now() - begin;
    EXPECT_GT(waited, Wait(900));
    EXPECT_LT(waited, Wait(4000));
    for (Client& client : silent) EXPECT_TRUE(client.ends_within(Wait(2000)));
    known.send(s.bytes("GET", "/api/files"));
    EXPECT_EQ(known.reply().status, 200);
}

TEST(Server, TricklingSendersAreCut) {
    voltsill::server::ServerOptions options;
    options.patience.sending = Wait(500);
    const Served s(options);
    // In the head, in the first line, in the body: a byte at a time, so that the connection is never silent.
    const std::string whole = s.bytes("POST", "/api/check", std::string(1000, ' '));
    for (const std::size_t at_once : {std::size_t{1}, whole.find("Content-Type"), whole.find("\r\n\r\n") + 10}) {
        const auto begin = std::chrono::steady_clock::now();
        Client client(s.port());
        client.send(std::string_view(whole).substr(0, at_once));
        std::thread trickle([&] {
            for (std::size_t k = at_once; k < whole.size(); ++k) {
                if (!client.send(std::string_view(whole).substr(k, 1))) return;
                std::this_thread::sleep_for(Wait(50));
                if (std::chrono::steady_clock::now() - begin > Wait(8000)) return;
            }
        });
        const Reply reply = client.reply(Wait(10'000));
        EXPECT_TRUE(reply.status == 408 || reply.status == 0) << reply.status;
        trickle.join();
        const auto lasted = std::chrono::steady_clock::now() - begin;
        EXPECT_GT(lasted, Wait(450)) << at_once;
        EXPECT_LT(lasted, Wait(3000)) << at_once;
    }
    // An idle connection is none of that, before its first request and between two.
    Client idle(s.port());
    std::this_thread::sleep_for(Wait(1000));
    for (int k = 0; k < 2; ++k) {
        idle.send(s.bytes("GET", "/api/files"));
        EXPECT_EQ(idle.reply().status, 200);
        std::this_thread::sleep_for(Wait(1000));
    }
}

TEST(Server, SlowReadersAreCut) {
    voltsill::server::ServerOptions options;
    options.patience.reading = Wait(500 * pace());
    const Served s(options);
    // Eight MiB of quotes: JSON writes each as two, and that is more than sockets hold by themselves.
    s.folder().write("large.toml", std::string(8u << 20, '"'));
    Client slow = s.sent(s.bytes("GET", "/api/file?path=large.toml"));
    ASSERT_EQ(slow.head().status, 200);
    std::this_thread::sleep_for(Wait(1500 * pace()));
    EXPECT_TRUE(slow.ends_within(Wait(5000 * pace())));
    EXPECT_LT(slow.dropped(), 14u << 20) << "it was not whole";
    const Served patient;
    patient.folder().write("large.toml", std::string(8u << 20, '"'));
    EXPECT_GT(patient.get("/api/file?path=large.toml").body.size(), 16u << 20) << "who reads gets it whole";
}

TEST(Server, MoreWorkThanTheQueueHoldsIsRefused) {
    voltsill::server::ServerOptions options;
    options.most_waiting = 2;
    const Served s(options);
    std::vector<Client> clients;
    int refused = 0;
    json body = lengthy();
    for (int k = 0; k < 5; ++k) {
        body["seed"] = k + 1;
        clients.push_back(s.sent(s.bytes("POST", "/api/sheets", body.dump())));
        std::this_thread::sleep_for(Wait(100));
    }
    for (std::size_t k = 3; k < clients.size(); ++k) {  // one at work, two in the queue
        const Reply reply = clients[k].reply(Wait(5000));
        refused += reply.status == 429;
        EXPECT_EQ(reply.code(), "too-busy");
    }
    EXPECT_EQ(refused, 2);
    // Brief work goes on beside all that.
    EXPECT_EQ(s.post("/api/check", {{"text", small_bench}}).status, 200);
}

TEST(Server, WorkEndsWhenItsClientLeaves) {
    const Served s;
    json body = lengthy();
    std::vector<Client> clients;
    for (int k = 0; k < 20; ++k) {
        body["seed"] = 100 + k;
        clients.push_back(s.sent(s.bytes("POST", "/api/sheets", body.dump())));
    }
    EXPECT_EQ(clients.front().head().status, 200);
    EXPECT_EQ(clients.front().event().name, "progress");
    clients.clear();  // twenty times some seconds of work, wanted by nobody
    const auto begin = std::chrono::steady_clock::now();
    body["samples"] = 0;
    body["links"] = {"tank echo"};
    Client next = s.sent(s.bytes("POST", "/api/trace", body.dump()));
    ASSERT_EQ(next.head().status, 200) << "behind them in the queue";
    EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(15));
}

TEST(Server, StreamsTellProgressResultsAndTheEnd) {
    const Served s;
    const json body = {{"text", example_text("first-bench")}, {"samples", 80}};
    Client client = s.sent(s.bytes("POST", "/api/trace", body.dump()));
    const Reply head = client.head();
    ASSERT_EQ(head.status, 200);
    EXPECT_EQ(head.headers.at("content-type"), "text/event-stream");
    EXPECT_EQ(head.headers.at("cache-control"), "no-store");
    std::vector<int> samples;
    bool last = false;
    double share = 0;
    for (Event event = client.event(); event.name != "end"; event = client.event()) {
        ASSERT_FALSE(event.name.empty());
        const json data = json::parse(event.data);
        if (event.name == "progress") {
            EXPECT_GE(data["share"], share);
            share = data["share"];
            continue;
        }
        EXPECT_FALSE(last) << "nothing after the final one";
        samples.push_back(data["samples"]);
        last = data["final"];
        EXPECT_EQ(data["trace"]["traces"][0]["samples"], samples.back());
        EXPECT_TRUE(data["svg"].begin()->get<std::string>().starts_with("<svg"));
    }
    EXPECT_EQ(samples, (std::vector<int>{0, 64, 80}));
    EXPECT_TRUE(last);
    client.send(s.bytes("GET", "/api/files"));
    EXPECT_EQ(client.line(Wait(1000)), "") << "the stream has ended";
}

TEST(Server, EventsTellOfEveryChange) {
    const Served s;
    s.folder().write("bench.toml", "title = \"1\"");
    Client client = s.sent(s.bytes("GET", "/api/events?file=bench.toml"));
    ASSERT_EQ(client.head().status, 200);
    const auto expect = [&](const std::string& name, const std::string& version) {
        const Event event = client.event(Wait(5000));
        EXPECT_EQ(event.name, name);
        const json data = json::parse(event.data, nullptr, false);
        ASSERT_TRUE(data.is_object());
        EXPECT_EQ(data["path"], "bench.toml");
        EXPECT_EQ(data.value("version", ""), version);
    };
    expect("changed", content_version("title = \"1\""));
    s.folder().write("bench.toml", "title = \"2\"");  // in place, of the same size
    expect("changed", content_version("title = \"2\""));
    ASSERT_EQ(s.save("bench.toml", "3", content_version("title = \"2\"")).status, 200);  // by another tab
    expect("changed", content_version("3"));
    s.folder().write("beside", "4");  // by a rename, as editors do
    fs::rename(s.folder().path("beside"), s.folder().path("bench.toml"));
    expect("changed", content_version("4"));
    fs::remove(s.folder().path("bench.toml"));
    expect("gone", "");
    s.folder().write("bench.toml", "5");
    expect("changed", content_version("5"));
    fs::last_write_time(s.folder().path("bench.toml"), fs::file_time_type::clock::now());
    EXPECT_EQ(client.event(Wait(1000)).name, "") << "touched, but the bytes are the same";
    EXPECT_EQ(s.get("/api/events?file=../bench.toml").status, 403);
    EXPECT_EQ(s.get("/api/events").status, 403);
}

TEST(Server, TwoTabsDoNotOverwriteEachOther) {
    const Served s;
    s.folder().write("bench.toml", "start");
    const json first = s.get("/api/file?path=bench.toml").json(), second = s.get("/api/file?path=bench.toml").json();
    ASSERT_EQ(s.save("bench.toml", "of the first", first["version"]).status, 200);
    const Reply refused = s.save("bench.toml", "of the second", second["version"]);
    EXPECT_EQ(refused.status, 409);
    EXPECT_EQ(refused.json()["format"], "voltsill-file-1");
    EXPECT_EQ(refused.json()["text"], "of the first");
    EXPECT_EQ(s.folder().read("bench.toml"), "of the first");
    EXPECT_EQ(s.save("bench.toml", "of both", refused.json()["version"]).status, 200);
    EXPECT_EQ(s.save("bench.toml", "a new one?", nullptr).status, 409);
    EXPECT_EQ(s.folder().read("bench.toml"), "of both");
}

TEST(Server, FilesThatAreNoTextAreNotShown) {
    const Served s;
    s.folder().write("latin.toml", "title = \"Gr\xfc\xdf\"");
    EXPECT_EQ(s.get("/api/file?path=latin.toml").code(), "not-text");
    EXPECT_EQ(s.get("/api/file?path=%2e%2e/latin.toml").status, 403);
    EXPECT_EQ(s.get("/api/file?path=latin.toml%00.toml").status, 403);
    EXPECT_EQ(s.get("/api/file").status, 403);
    s.folder().write("word \xc3\xbc.toml", "title = \"\xc3\xbc\"");
    EXPECT_EQ(s.get("/api/file?path=word%20%C3%BC.toml").json()["text"], "title = \"\xc3\xbc\"");
}

TEST(Server, IncludesAreReadAndNeverRemembered) {
    const Served s;
    s.folder().write("types.toml", "[types.my-part]\nlike = \"controller-3v3\"\ntitle = \"first\"\n");
    const json body = {
        {"file", "bench.toml"}, {"text", "include = [\"types.toml\"]\n" + small_bench}, {"type", "my-part"}};
    const Reply first = s.post("/api/part", body);
    ASSERT_EQ(first.status, 200) << first.body;
    EXPECT_EQ(first.json()["part"]["title"], "first");
    s.folder().write("types.toml", "[types.my-part]\nlike = \"controller-3v3\"\ntitle = \"second\"\n");
    EXPECT_EQ(s.post("/api/part", body).json()["part"]["title"], "second");
}

/// The results of a stream, in order.
std::vector<json> results_of(Client client) {
    std::vector<json> results;
    EXPECT_EQ(client.head().status, 200);
    for (Event event = client.event(); !event.name.empty() && event.name != "end"; event = client.event())
        if (event.name == "result") results.push_back(json::parse(event.data));
    return results;
}

TEST(Server, SheetsMadeOnceServePagesAndPaper) {
    const Served s;
    const json body = {{"text", example_text("first-bench")}, {"slips", true}, {"for", "test"}, {"sheet", "test"}};
    const auto first = results_of(s.sent(s.bytes("POST", "/api/build", body.dump())));
    ASSERT_EQ(first.size(), 2u);
    EXPECT_EQ(first[0]["boards"], first[1]["boards"]);
    EXPECT_NE(first[0]["sheets"]["slips"], first[1]["sheets"]["slips"]) << "the second has looked for them";
    EXPECT_EQ(results_of(s.sent(s.bytes("POST", "/api/build", body.dump()))), (std::vector<json>{first[1]}));
    const auto pages = results_of(s.sent(s.bytes("POST", "/api/sheets", body.dump())));
    ASSERT_EQ(pages.size(), 1u);
    for (const json& document : pages[0]["documents"]) EXPECT_EQ(document["name"], "test");
    const Reply pdf = s.post("/api/pdf", body);
    EXPECT_EQ(pdf.status, 200);
    EXPECT_TRUE(pdf.body.starts_with("%PDF-"));
    EXPECT_EQ(s.post("/api/pdf", {{"text", body["text"]}, {"for", "test"}, {"sheet", "answers"}}).status, 422)
        << "not for these readers";
}

TEST(Server, SameBodySameAnswer) {
    const Served s;
    const json body = {{"text", example_text("first-bench")}};
    const Reply first = s.post("/api/plan", body), again = s.post("/api/plan", body);
    EXPECT_EQ(first.status, 200);
    EXPECT_EQ(first.body, again.body);
    EXPECT_NE(s.post("/api/check", body).body, first.body) << "another call, another answer";
}

TEST(Server, StopsWhileAllKindsOfClientsHang) {
    auto s = std::make_unique<Served>();
    s->folder().write("bench.toml", "1");
    const json samples = {{"text", example_text("first-bench")}, {"samples", 1'000'000}};
    std::vector<Client> clients;
    for (int k = 0; k < 20; ++k) {
        clients.emplace_back(s->port());
        clients.push_back(s->sent(s->bytes("GET", "/api/events?file=bench.toml")));
        clients.push_back(s->sent("GET /api/about HT"));
        clients.push_back(s->sent(s->bytes("POST", "/api/trace", samples.dump())));
    }
    clients[1].head();
    const auto begin = std::chrono::steady_clock::now();
    bool stopped = s->server().stop();
    for (int more = 1; more < 4 * pace() && pace() > 1 && !stopped; ++more) stopped = s->server().stop();
    EXPECT_TRUE(stopped);
    s.reset();
    EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(4 * pace()));
    for (Client& client : clients) EXPECT_TRUE(client.ends_within(Wait(2000)));
}

TEST(Server, OpensOneFileWithItsFolder) {
    Folder folder;
    folder.write("bench.toml", small_bench);
    folder.write("other.toml", small_bench);
    auto server = voltsill::server::Server::start({.path = folder.path("bench.toml"), .version = "7", .port = 0});
    ASSERT_TRUE(server);
    Client client((*server)->port());
    client.send(request_bytes((*server)->port(), "GET", "/api/about"));
    const json about = client.reply().json();
    EXPECT_EQ(about["open"], "bench.toml");
    EXPECT_EQ(about["version"], "7");
    EXPECT_EQ(fs::path(about["folder"].get<std::string>()), fs::canonical(folder.path("")));
    EXPECT_FALSE(voltsill::server::Server::start({.path = folder.path("missing.toml"), .port = 0}));
    folder.write("notes.txt", "");
    EXPECT_FALSE(voltsill::server::Server::start({.path = folder.path("notes.txt"), .port = 0}));
}

}  // namespace
