// The program ended in the middle of a class, again and again: nothing that was acknowledged is lost.
#include <fmt/format.h>

#include <atomic>
#include <random>
#include <thread>

#include "child.h"
#include "classroom.h"

namespace {
using namespace voltsill::testing;
using nlohmann::json;

/// Somebody who enters readings one after the other, and notes which were acknowledged.
struct Enterer {
    std::string cookie;
    std::vector<std::string> acknowledged;
    std::string in_flight;
    int next = 0;

    void run(int port, std::atomic<unsigned>& acknowledged_now) {
        Person person(port);
        const Reply who = person.call("GET", "/api/class/who", nullptr, {{"Cookie", cookie}});
        if (who.status != 200) return;
        Client client(port);
        for (;;) {
            in_flight = std::to_string(++next) + " kΩ";
            const std::string body = json{{"check", "ohm-1"}, {"value", in_flight}}.dump();
            const Headers headers = {{"Cookie", cookie}, {"X-Voltsill-Token", person.token()}};
            if (!client.send(request_bytes(port, "POST", "/api/class/reading", body, headers))) return;
            const Reply reply = client.reply();
            if (reply.status == 0) return;
            ASSERT_EQ(reply.status, 200) << reply.body;
            acknowledged.push_back(in_flight);
            ++acknowledged_now;
        }
    }
    /// All that was acknowledged is there, in order; what was in flight may be.
    void expect_all_in(const json& readings) {
        std::size_t at = 0;
        for (const json& reading : readings)
            if (at < acknowledged.size() && reading["entered"] == acknowledged[at]) ++at;
        EXPECT_EQ(at, acknowledged.size()) << "lost: " << (at < acknowledged.size() ? acknowledged[at] : "");
    }
};

std::vector<std::string> class_words(const Folder& folder) {
    return {"--class", "--store", folder.path("class.sqlite"), "--passphrase-file",
            folder.write("passphrase", passphrase + "\n")};
}

TEST(Kill, InTheMiddleOfAClassLosesNothing) {
    const Folder folder;
    const std::string bench = folder.write("bench.toml", small_bench);
    std::vector<Enterer> people(3);
    {
        Child child(bench, class_words(folder));
        ASSERT_TRUE(child.ready().is_object());
        Person instructor(child.port());
        ASSERT_TRUE(instructor.sign_in());
        const std::string code = instructor.get("/api/class/room").json()["code"];
        for (std::size_t k = 0; k < people.size(); ++k) {
            Person person(child.port());
            ASSERT_TRUE(person.join(code, "P" + std::to_string(k)));
            people[k].cookie = person.cookie();
        }
    }  // killed at once: who has been let in is in
    std::mt19937 random(2);
    const std::vector<std::string> again = {"--class", "--store", folder.path("class.sqlite")};
    std::size_t total = 0;
    const int rounds = kills_asked(5);
    for (int round = 0; round < rounds; ++round) {
        Child child(bench, again);
        ASSERT_TRUE(child.ready().is_object());
        std::atomic<unsigned> now{0};
        std::vector<std::thread> threads;
        for (Enterer& person : people) threads.emplace_back([&, port = child.port()] { person.run(port, now); });
        // In the middle of whatever it does after some were acknowledged.
        const unsigned enough = 1 + random() % 40;
        for (int ms = 0; now < enough && ms < 3000; ++ms) std::this_thread::sleep_for(std::chrono::milliseconds(1));
        std::this_thread::sleep_for(std::chrono::microseconds(random() % 3000));
        child.end(SIGKILL);
        for (std::thread& thread : threads) thread.join();
        if (round % 10 == 9)  // so that nobody has more than is kept of one
            for (Enterer& person : people) total += person.acknowledged.size();
        Child next(bench, again);
        for (Enterer& person : people) {
            Person reader(next.port());
            const json mine = reader.call("GET", "/api/class/me/export", nullptr, {{"Cookie", person.cookie}}).json();
            ASSERT_EQ(mine["learners"].size(), 1u) << mine;
            person.expect_all_in(mine["learners"][0]["readings"]);
        }
        if (round % 10 != 9) continue;
        Person instructor(next.port());
        ASSERT_TRUE(instructor.sign_in());
        for (std::size_t k = 0; k < people.size(); ++k) {
            instructor.post("/api/class/learner", {{"learner", k + 1}, {"do", "reset"}});
            people[k].acknowledged.clear();
        }
    }
    for (const Enterer& person : people) total += person.acknowledged.size();
    EXPECT_GT(total, 0u);
    fmt::print("{} kills, {} readings acknowledged, none lost\n", 2 * rounds + 1, total);
}

/// A class that cannot be held leaves nothing behind, whatever the reason.
TEST(ServeClass, ChecksBeforeItMakesAnything) {
    const Folder folder;
    const std::string bench = folder.write("bench.toml", small_bench),
                      words = folder.write("passphrase", passphrase + "\n");
    const std::string store = folder.path("data/deep/class.sqlite");
    const std::string broken = folder.write("broken.toml", "[rails]\nfive = 5\n[parts]\na = \"push-button\"\n");
    const std::string pem = folder.write("no.pem", "this is no certificate\n");
    const auto held = [&](const std::string& of, const std::string& more) {
        return run_program("serve " + of + " --class --port 0 --store " + store + " --passphrase-file " + words + more);
    };
    const Outcome bad_bench = held(broken, "");
    EXPECT_EQ(bad_bench.code, 2);
    EXPECT_NE(bad_bench.out.find("broken.toml:2"), std::string::npos) << bad_bench.out;
    EXPECT_NE(bad_bench.out.find("voltsill check"), std::string::npos) << bad_bench.out;
    EXPECT_EQ(held(folder.path("none.toml"), "").code, 2);
    const Outcome bad_pem = held(bench, " --cert " + pem + " --key " + pem);
    EXPECT_EQ(bad_pem.code, 2);
    EXPECT_NE(bad_pem.out.find("certificate"), std::string::npos) << bad_pem.out;
    EXPECT_EQ(held(bench, " --bind 192.0.2.1").code, 2) << "TEST-NET-1 (RFC 5737) is nobody's";
    EXPECT_EQ(held(bench, " --json --bind 192.0.2.1").out.find("voltsill: "), std::string::npos);
    EXPECT_FALSE(std::filesystem::exists(folder.path("data")));
}

TEST(ServeClass, PassphrasesComeFromAFileOrATerminal) {
    const Folder folder;
    const std::string bench = folder.write("bench.toml", small_bench), store = folder.path("class.sqlite");
    const std::string held = "serve " + bench + " --class --port 0 --store " + store;
    const Outcome none = run_program(held);
    EXPECT_EQ(none.code, 2);
    EXPECT_NE(none.out.find("--passphrase-file"), std::string::npos);
    const Outcome brief = run_program(held + " --passphrase-file " + folder.write("short", "too short\n"));
    EXPECT_EQ(brief.code, 2);
    EXPECT_NE(brief.out.find("12"), std::string::npos);
    EXPECT_EQ(run_program(held + " --passphrase-file " + folder.path("none")).code, 2);
    EXPECT_EQ(run_program("serve " + bench + " --bind 127.0.0.1").code, 2) << "only with --class";
    EXPECT_EQ(run_program(held + " --bind 0.0.0.0 --passphrase-file " + folder.write("long", passphrase)).code, 2);
}

}  // namespace
