// Requests that are none: many mutations of good ones, and a server that still answers afterwards.
#include <sys/socket.h>

#include <random>
#include <thread>

#include "mutated.h"
#include "served.h"
#include "support/how_many.h"

namespace {
using namespace voltsill::testing;
using Wait = Client::Wait;

/// More where the environment asks for a long run.
unsigned cases_asked(unsigned usual) {
    const char* asked = std::getenv("VOLTSILL_HOSTILE_CASES");
    return asked ? static_cast<unsigned>(std::atoi(asked)) : usual;
}

/// A whole, good request still gets its answer.
void expect_alive(const Served& s) {
    const Reply reply = s.post("/api/check", {{"text", small_bench}});
    ASSERT_EQ(reply.status, 200);
    ASSERT_EQ(reply.json()["format"], "voltsill-check-1");
}

TEST(Hostile, MutatedRequestsAreAnsweredOrEnded) {
    voltsill::server::ServerOptions options;
    options.patience.sending = Wait(300);
    const Served s(options);
    s.folder().write("bench.toml", small_bench);
    const nlohmann::json body = {{"file", "bench.toml"}, {"text", small_bench}, {"links", {"a"}}, {"base", nullptr}};
    const std::string good[] = {
        s.bytes("GET", "/api/file?path=bench.toml"), s.bytes("GET", "/api/events?file=bench.toml"),
        s.bytes("GET", "/"), s.bytes("POST", "/api/check", body.dump()), s.bytes("POST", "/api/trace", body.dump()),
        s.bytes("PUT", "/api/file?path=new.toml", body.dump()), s.bytes("GET", "/api/parts?search=open%20drain"),
        request_bytes(s.port(), "POST", "/api/check", "7\r\n{\"text\"\r\n3\r\n:1}\r\n0\r\n\r\n",
                      s.with_token({{"Content-Length", ""}, {"Transfer-Encoding", "chunked"}}))};
    Random random(20261126);
    const unsigned cases = voltsill::made::how_many(cases_asked(600));
    int answered = 0;
    for (unsigned k = 0; k < cases; ++k) {
        Client client = s.sent(mutated(good[below(random, std::size(good))], random));
        if (below(random, 2) == 0) shutdown(client.descriptor(), SHUT_WR);
        if (below(random, 3) == 0) {
            const int status = client.head(Wait(50)).status;
            answered += status != 0;
            EXPECT_TRUE(status == 0 || (status >= 200 && status < 600)) << status;
            EXPECT_NE(status, 500);
        }
        if (k % 500 == 0) expect_alive(s);
    }
    EXPECT_GT(answered, static_cast<int>(cases) / 20);
    expect_alive(s);
    EXPECT_EQ(s.folder().read("bench.toml"), small_bench);
}

TEST(Hostile, BodiesOfAnyBytesAreAnswered) {
    const Served s;
    Random random(7);
    const std::string good =
        nlohmann::json({{"file", "bench.toml"}, {"text", example_text("first-bench")}, {"type", "HCT 541"}}).dump();
    Client client(s.port());
    for (unsigned k = 0; k < voltsill::made::how_many(600); ++k) {
        const char* calls[] = {"/api/check", "/api/part", "/api/report"};
        std::string body = mutated(good, random);
        client.send(s.bytes("POST", calls[below(random, 3)], body));
        const Reply reply = client.reply();
        ASSERT_TRUE(reply.status == 200 || reply.status == 400 || reply.status == 404) << reply.status << "\n" << body;
        ASSERT_TRUE(reply.json().is_object());
    }
}

TEST(Hostile, SmuggledLengthsEndTheConnection) {
    // RFC 9112, 6.3: a message with both, or with lengths that differ, is not to be trusted.
    const Served s;
    const std::string inner = s.bytes("GET", "/api/files");
    for (const Headers& lengths :
         {Headers{{"Content-Length", "5"}, {"Content-Length", "50"}}, Headers{{"Content-Length", "5, 50"}},
          Headers{{"Content-Length", "+5"}}, Headers{{"Content-Length", "0x5"}},
          Headers{{"Content-Length", "99999999999999999999999"}}}) {
        std::string text = "POST /api/check HTTP/1.1\r\nHost: 127.0.0.1:" + std::to_string(s.port()) +
                           "\r\nContent-Type: application/json\r\nX-Voltsill-Token: x\r\n";
        for (const auto& [name, value] : lengths) text += name + ": " + value + "\r\n";
        Client client = s.sent(text + "\r\n     " + inner);
        const Reply first = client.reply(Wait(5000));
        EXPECT_GE(first.status, 400);
        EXPECT_EQ(client.reply(Wait(500)).status, 0) << "nothing behind it is answered";
    }
    expect_alive(s);
}

TEST(Hostile, FiveHundredHalfOpenConnectionsDoNotKeepOthersWaiting) {
    const Served s;
    std::vector<Client> clients;
    for (int k = 0; k < 500; ++k) {
        clients.emplace_back(s.port());
        if (k % 2) clients.back().send("GET /api/ab");
    }
    const auto begin = std::chrono::steady_clock::now();
    expect_alive(s);
    EXPECT_LT(std::chrono::steady_clock::now() - begin, Wait(2000));
}

}  // namespace
