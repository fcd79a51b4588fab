// Pieces of the server without a socket: members of a body, streams, workers, what is kept.
#include <gtest/gtest.h>

#include <future>
#include <latch>

#include "server/answer_cache.h"
#include "server/ask.h"
#include "server/event_stream.h"
#include "server/workers.h"

namespace {
using namespace voltsill::server;

Ask asked(const std::string& body) { return std::move(*Ask::read(body)); }

TEST(Ask, RefusesWhatIsNoObject) {
    for (const char* body : {"", "{", "[]", "1", "null", "\"text\"", "{\"a\":}", "{} {}", "{\"a\":\"\xff\"}", "{'a':1}",
                             "{\"a\":NaN}"})
        EXPECT_FALSE(Ask::read(body)) << body;
    EXPECT_FALSE(Ask::read(std::string(100'000, '[')));
    EXPECT_FALSE(Ask::read("{\"a\":" + std::string(50, '[') + std::string(50, ']') + "}"));
    EXPECT_TRUE(Ask::read("{\"a\":" + std::string(20, '[') + std::string(20, ']') + "}"));
}

TEST(Ask, MembersOfAnotherKindAreSaid) {
    Ask good = asked(R"({"text":"t","seats":3,"yes":true,"names":["a","b"],"rate":2.5,"nothing":null})");
    EXPECT_EQ(good.text("text"), "t");
    EXPECT_EQ(good.text("nothing", "otherwise"), "otherwise");
    EXPECT_EQ(good.whole("seats", 1, 10, 1), 3);
    EXPECT_EQ(good.whole("missing", 1, 10, 7), 7);
    EXPECT_TRUE(good.truth("yes"));
    EXPECT_FALSE(good.truth("missing"));
    EXPECT_EQ(good.texts("names"), (std::vector<std::string>{"a", "b"}));
    EXPECT_EQ(good.positive_or_null("rate"), 2.5);
    EXPECT_EQ(good.positive_or_null("nothing"), std::nullopt);
    EXPECT_EQ(good.text_or_null("nothing"), std::nullopt);
    EXPECT_FALSE(good.objection());

    const auto wrong = [](const std::string& body, auto use) {
        auto ask = Ask::read(body);
        if (!ask) return ask.error().status;  // 1e400 is no number of RFC 8259's usual range (section 6)
        use(*ask);
        const auto objection = ask->objection();
        return objection ? objection->status : 200;
    };
    EXPECT_EQ(wrong("{}", [](Ask& a) { a.text("text"); }), 400);
    EXPECT_EQ(wrong(R"({"text":1})", [](Ask& a) { a.text("text"); }), 400);
    EXPECT_EQ(wrong(R"({"n":11})", [](Ask& a) { a.whole("n", 1, 10, 1); }), 400);
    EXPECT_EQ(wrong(R"({"n":1.5})", [](Ask& a) { a.whole("n", 1, 10, 1); }), 400);
    EXPECT_EQ(wrong(R"({"n":18446744073709551615})", [](Ask& a) { a.whole("n", -5, 10, 1); }), 400);
    EXPECT_EQ(wrong(R"({"n":1e400})", [](Ask& a) { a.positive_or_null("n"); }), 400);
    EXPECT_EQ(wrong(R"({"n":0})", [](Ask& a) { a.positive_or_null("n"); }), 400);
    EXPECT_EQ(wrong(R"({"n":"true"})", [](Ask& a) { a.truth("n"); }), 400);
    EXPECT_EQ(wrong(R"({"n":[1]})", [](Ask& a) { a.texts("n"); }), 400);
    EXPECT_EQ(wrong(R"({"n":"c"})", [](Ask& a) { a.one_of("n", {"a", "b"}, "a"); }), 400);
}

struct Parked {
    int parks = 0, wakes = 0;
    std::shared_ptr<Caller> caller = std::make_shared<Caller>();
    EventStream stream{caller, [this] { ++parks; }, [this] { ++wakes; }};
    std::pair<EventStream::Took, std::string> take(std::size_t room = 1000) {
        std::string into(room, ' ');
        std::size_t count = 0;
        const auto took = stream.take(into.data(), room, count);
        return {took, into.substr(0, count)};
    }
};

TEST(EventStream, WritesEventsAsTheStandardSays) {
    // HTML Standard (WHATWG), 9.2.6 "Interpreting an event stream": field, colon, blank; an empty line
    // dispatches; several data lines are joined by line feeds; a line that begins with a colon is passed over.
    Parked p;
    p.stream.send("result", "one\ntwo");
    p.stream.comment();
    EXPECT_EQ(p.take().second, "event: result\ndata: one\ndata: two\n\n:\n\n");
}

TEST(EventStream, ParksWhenEmptyAndWakesOnce) {
    Parked p;
    EXPECT_EQ(p.take().first, EventStream::Took::parked);
    EXPECT_EQ(p.parks, 1);
    p.stream.send("a", "1");
    p.stream.send("b", "2");
    EXPECT_EQ(p.wakes, 1);
    EXPECT_EQ(p.take(9).second, "event: a\n");
    EXPECT_EQ(p.take().second, "data: 1\n\nevent: b\ndata: 2\n\n");
    p.stream.end();
    EXPECT_EQ(p.take().first, EventStream::Took::ended);
    EXPECT_FALSE(p.stream.send("late", ""));
}

TEST(EventStream, BreaksOffAndDetaches) {
    Parked p;
    p.take();
    p.stream.break_off();
    EXPECT_EQ(p.wakes, 1);
    EXPECT_TRUE(p.stream.left());
    EXPECT_EQ(p.take().first, EventStream::Took::broken);
    Parked q;
    q.take();
    q.stream.detach();
    q.stream.send("a", "");
    q.stream.end();
    EXPECT_EQ(q.wakes, 0) << "what is gone is not woken";
}

TEST(EventStream, DoesNotHoldWithoutEnd) {
    Parked p;
    const std::string large(8u << 20, 'x');
    int sent = 0;
    while (sent < 100 && p.stream.send("a", large)) ++sent;
    EXPECT_EQ(sent, 7);
    EXPECT_TRUE(p.stream.left());
    EXPECT_EQ(p.take().first, EventStream::Took::broken);
}

TEST(OneLine, LeavesStringsAsTheyAre) {
    EXPECT_EQ(on_one_line("{\n  \"a b\": [1, \" \\\" x \\\\\", \"n\\n\"]\n}\n"),
              "{\"a b\":[1,\" \\\" x \\\\\",\"n\\n\"]}");
}

TEST(Workers, BriefWorkDoesNotWaitForLengthyWork) {
    Workers workers(2, 10);
    std::promise<void> go;
    auto wait = go.get_future().share();
    for (int k = 0; k < 5; ++k) ASSERT_TRUE(workers.add(Workers::Length::lengthy, [wait] { wait.wait(); }));
    std::promise<void> done;
    ASSERT_TRUE(workers.add(Workers::Length::brief, [&] { done.set_value(); }));
    EXPECT_EQ(done.get_future().wait_for(std::chrono::seconds(20)), std::future_status::ready);
    go.set_value();
    EXPECT_TRUE(workers.stop(std::chrono::seconds(20)));
    EXPECT_FALSE(workers.add(Workers::Length::brief, [] {}));
}

TEST(Workers, RefuseWhatTheyCannotHold) {
    Workers workers(2, 3);
    std::promise<void> go;
    auto wait = go.get_future().share();
    std::latch started(2);
    for (int k = 0; k < 2; ++k)
        ASSERT_TRUE(workers.add(Workers::Length::brief, [&, wait] {
            started.count_down();
            wait.wait();
        }));
    started.wait();
    std::atomic<int> done{0};
    for (int k = 0; k < 3; ++k) EXPECT_TRUE(workers.add(Workers::Length::brief, [&] { ++done; }));
    EXPECT_FALSE(workers.add(Workers::Length::brief, [&] { ++done; }));
    EXPECT_FALSE(workers.stop(std::chrono::milliseconds(50))) << "two have not ended";
    go.set_value();
    EXPECT_TRUE(workers.stop(std::chrono::seconds(20)));
    EXPECT_EQ(done, 3) << "what was taken is done";
}

TEST(AnswerCache, GivesUpWhatWasNotWantedForTheLongestTime) {
    AnswerCache cache(80);
    for (const char* key : {"a", "b", "c", "d", "e", "f", "g", "h"}) cache.keep(key, std::string(10, *key));
    EXPECT_EQ(cache.find("a"), std::string(10, 'a'));
    cache.keep("i", "0123456789");
    EXPECT_EQ(cache.find("b"), std::nullopt);
    EXPECT_TRUE(cache.find("a"));
    cache.keep("large", std::string(11, 'x'));
    EXPECT_EQ(cache.find("large"), std::nullopt);
}

}  // namespace
