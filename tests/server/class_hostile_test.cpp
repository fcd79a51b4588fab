// Requests to a class that are none, and bodies of any bytes: answered or ended, and nothing of it is kept.
#include <sys/resource.h>

#include <random>
#include <thread>

#include "classroom.h"
#include "mutated.h"
#include "support/how_many.h"

namespace {
using namespace voltsill::testing;
using nlohmann::json;

TEST(HostileClass, MutatedRequestsAndBodiesAreAnsweredOrEnded) {
    voltsill::server::HallLimits limits;
    limits.learner = limits.joins = limits.hints = {1e6, 1e6};
    Classroom c(limits);
    Person robin = c.learner("Robin");
    const json reading = {{"check", "ohm-1"}, {"value", "4.7 kΩ"}}, tick = {{"step", 1}, {"done", true}},
               hint = {{"check", "ohm-1"}, {"depth", 1}}, act = {{"learner", 1}, {"do", "helped"}, {"gate", 1}},
               join = {{"code", c.code}, {"nickname", "Kim"}};
    const std::string good[] = {robin.bytes("POST", "/api/class/reading", reading),
                                robin.bytes("POST", "/api/class/tick", tick),
                                robin.bytes("POST", "/api/class/hint", hint),
                                robin.bytes("GET", "/api/class/me"),
                                robin.bytes("GET", "/api/class/me/events"),
                                robin.bytes("POST", "/api/class/join", join),
                                c.instructor.bytes("POST", "/api/class/learner", act),
                                c.instructor.bytes("GET", "/api/class/learner?learner=1"),
                                c.instructor.bytes("GET", "/api/class/room/events")};
    std::mt19937 random(11);
    int answered = 0;
    for (unsigned k = 0; k < voltsill::made::how_many(200); ++k) {
        Client client(c.served.port());
        client.send(mutated(good[random() % std::size(good)], random));
        const int status = client.head(std::chrono::milliseconds(10)).status;
        answered += status != 0;
        EXPECT_TRUE(status == 0 || (status >= 200 && status < 500) || status == 503 || status == 505) << status;
    }
    EXPECT_GT(answered, 0);
    Client client(c.served.port());
    for (unsigned k = 0; k < voltsill::made::how_many(600); ++k) {
        // The head is as it should be, the body anything.
        const std::pair<const char*, const json*> calls[] = {
            {"/api/class/reading", &reading}, {"/api/class/tick", &tick}, {"/api/class/hint", &hint}};
        const auto& [target, body] = calls[random() % 3];
        client.send(request_bytes(c.served.port(), "POST", target, mutated(body->dump(), random),
                                  {{"Cookie", robin.cookie()}, {"X-Voltsill-Token", robin.token()}}));
        const Reply reply = client.reply();
        ASSERT_TRUE(reply.status == 200 || reply.status == 400 || reply.status == 404 || reply.status == 409 ||
                    reply.status == 422) << reply.status << reply.body;
        ASSERT_TRUE(reply.json().is_object());
    }
    EXPECT_EQ(c.row("Robin")["gate"], 1) << "no gate was passed by accident";
    EXPECT_EQ(robin.get("/api/class/me").status, 200);
}

/// Bound of connections of one address (docs/hall.md: 700 of 1,000): a class behind one router fits, and who takes all
/// that one address gets keeps nobody at another address out.
TEST(HostileClass, OneAddressHoldsNoMoreThanItsShareOfConnections) {
    constexpr int share = 700;
    rlimit files{};
    getrlimit(RLIMIT_NOFILE, &files);
    files.rlim_cur = std::max<rlim_t>(files.rlim_cur, std::min<rlim_t>(files.rlim_max, 4096));
    setrlimit(RLIMIT_NOFILE, &files);
    if (files.rlim_cur < 2 * share + 100) GTEST_SKIP() << "only " << files.rlim_cur << " files may be open";
    const Folder kept;
    voltsill::server::ServerOptions options = class_options(kept.path("class.sqlite"));
    options.patience.first = std::chrono::seconds(300);  // idle ones stay
    const Served served(options, example_text("first-bench"));
    const std::string asks = request_bytes(served.port(), "GET", "/api/class/who");
    const auto answered = [&](Client& client) { return client.send(asks) && client.reply().status == 200; };
    std::vector<Client> clients;
    for (int k = 0; k < share; ++k) clients.emplace_back(served.port());
    for (Client& client : clients) ASSERT_TRUE(answered(client)) << "the " << share << " that are allowed";
    for (int k = 0; k < 5; ++k) {
        Client more(served.port());
        more.send(asks);
        EXPECT_TRUE(more.ends_within(Client::Wait(20'000)));
        EXPECT_EQ(more.dropped(), 0u) << "no answer to the " << share + 1 << "st";
    }
    Client elsewhere(served.port(), "127.0.0.2");
    EXPECT_TRUE(answered(elsewhere)) << "another address";
    ASSERT_TRUE(answered(clients.back())) << "those that are there stay";
    clients.pop_back();
    bool again = false;
    for (int k = 0; k < 200 && !again; ++k) {
        Client next(served.port());
        again = answered(next);
        if (!again) std::this_thread::sleep_for(std::chrono::milliseconds(50));
    }
    EXPECT_TRUE(again) << "a place that is free is given again";
}

}  // namespace
