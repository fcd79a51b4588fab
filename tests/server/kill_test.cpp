// The program ended in the middle of saving, again and again: nothing that was acknowledged is lost.
#include <fmt/format.h>

#include <atomic>

#include <random>
#include <thread>

#include "child.h"
#include "server/bench_folder.h"

namespace {
using namespace voltsill::testing;
using nlohmann::json;
namespace fs = std::filesystem;

std::string numbered_text(int number) {
    // Large enough to take several writes; every line tells whether the text is whole.
    std::string text = "title = \"" + std::to_string(number) + "\"\n";
    for (int k = 0; k < 3000; ++k) text += "# " + std::to_string(number) + " line " + std::to_string(k) + "\n";
    return text;
}

int rounds() { return kills_asked(20); }

TEST(Kill, InTheMiddleOfSavesLosesNothing) {
    const Folder folder;
    const std::string path = folder.write("bench.toml", numbered_text(0));
    std::mt19937 random(1);
    int acknowledged = 0, attempted = 0, in_flight_seen = 0, saves = 0;
    for (int round = 0; round < rounds(); ++round) {
        Child child(folder.path(""));
        ASSERT_TRUE(child.ready().is_object());
        std::atomic<bool> saved = round > 0;  // the first is ended after a save, however slow the machine
        std::thread killer([&child, &saved, wait = 2000 + random() % 40000] {
            for (int k = 0; k < 2000 && !saved; ++k) std::this_thread::sleep_for(std::chrono::milliseconds(5));
            std::this_thread::sleep_for(std::chrono::microseconds(wait));
            child.end(SIGKILL);
        });
        Client client(child.port());
        // What was in flight when the one before was ended may be there: then it stays there.
        if (text_of(path) == numbered_text(attempted)) acknowledged = attempted;
        for (;;) {
            attempted = acknowledged + 1;
            const json body = {{"text", numbered_text(attempted)},
                               {"base", voltsill::server::content_version(numbered_text(acknowledged))}};
            const Headers token = {{"X-Voltsill-Token", child.token()}};
            if (!client.send(request_bytes(child.port(), "PUT", "/api/file?path=bench.toml", body.dump(), token)))
                break;
            const Reply reply = client.reply();
            if (reply.status == 0) break;
            ASSERT_EQ(reply.status, 200) << reply.body;
            acknowledged = attempted;
            ++saves;
            saved = true;
        }
        killer.join();
        const std::string found = text_of(path);
        ASSERT_TRUE(found == numbered_text(acknowledged) || found == numbered_text(attempted))
            << "acknowledged " << acknowledged << ", in flight " << attempted << ", found " << found.size() << " bytes";
        in_flight_seen += found != numbered_text(acknowledged);
    }
    EXPECT_GT(saves, 0);
    // The next save clears away what the killed ones left.
    Child child(folder.path(""));
    Client client(child.port());
    const std::string found = text_of(path);
    client.send(
        request_bytes(child.port(), "PUT", "/api/file?path=bench.toml",
                      json{{"text", "title = \"last\""}, {"base", voltsill::server::content_version(found)}}.dump(),
                      {{"X-Voltsill-Token", child.token()}}));
    EXPECT_EQ(client.reply().status, 200);
    EXPECT_EQ(std::distance(fs::directory_iterator(folder.path("")), {}), 1);
    fmt::print("{} kills, {} saves acknowledged, {} times the one in flight was there\n", rounds(), saves,
               in_flight_seen);
}

TEST(Serve, StopsAtOnceWhenAskedAndFinishesWhatItSaves) {
    for (const int signal : {SIGINT, SIGTERM}) {
        const Folder folder;
        Child child(folder.path(""));
        EXPECT_EQ(child.ready()["format"], "voltsill-serve-1");
        EXPECT_EQ(child.ready()["url"], "http://127.0.0.1:" + std::to_string(child.port()) + "/");
        Client stream(child.port()), working(child.port()), saving(child.port());
        const Headers token = {{"X-Voltsill-Token", child.token()}};
        stream.send(request_bytes(child.port(), "GET", "/api/events?file=bench.toml"));
        EXPECT_EQ(stream.head().status, 200);
        working.send(request_bytes(child.port(), "POST", "/api/sheets",
                                   json{{"text", example_text("rain-garden")}, {"for", "all"}}.dump(), token));
        EXPECT_EQ(working.head().status, 200);
        saving.send(request_bytes(child.port(), "PUT", "/api/file?path=bench.toml",
                                  json{{"text", numbered_text(1)}}.dump(), token));
        EXPECT_EQ(saving.reply().status, 200);
        const auto begin = std::chrono::steady_clock::now();
        EXPECT_EQ(child.end(signal), 0);
        EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(4));
        EXPECT_EQ(folder.read("bench.toml"), numbered_text(1));
    }
}

TEST(Serve, SaysWhyItDoesNotStart) {
    const Folder folder;
    folder.write("notes.txt", "");
    EXPECT_EQ(run_program("serve " + folder.path("none.toml")).code, 2);
    EXPECT_EQ(run_program("serve " + folder.path("notes.txt")).code, 2);
    EXPECT_EQ(run_program("serve --port 70000").code, 2);
    Child child(folder.path(""));
    const Outcome taken = run_program("serve --port " + std::to_string(child.port()) + " " + folder.path(""));
    EXPECT_EQ(taken.code, 2);
    EXPECT_NE(taken.out.find(std::to_string(child.port())), std::string::npos);
}

}  // namespace
