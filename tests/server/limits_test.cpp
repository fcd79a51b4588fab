// What keeps a hall from being asked too much: buckets, guesses, streams, bodies, memory.
#include "classroom.h"
#include "server/handshakes.h"
#include "server/peers.h"
#include "server/secrets.h"

namespace {
using namespace voltsill::testing;
using namespace voltsill::server;
using nlohmann::json;
using std::chrono::milliseconds;

TEST(Limits, ABucketGivesItsBurstAndThenItsRate) {
    Buckets buckets({.burst = 3, .per_second = 2});
    const auto begin = Buckets::Clock::now();
    for (int k = 0; k < 3; ++k) EXPECT_TRUE(buckets.take("a", begin));
    EXPECT_FALSE(buckets.take("a", begin));
    EXPECT_TRUE(buckets.take("b", begin)) << "each has its own";
    EXPECT_FALSE(buckets.take("a", begin + milliseconds(499)));
    EXPECT_TRUE(buckets.take("a", begin + milliseconds(501)));
    EXPECT_FALSE(buckets.take("a", begin + milliseconds(502)));
    // However long nothing was asked, no more than the burst.
    for (int k = 0; k < 3; ++k) EXPECT_TRUE(buckets.take("a", begin + std::chrono::hours(1)));
    EXPECT_FALSE(buckets.take("a", begin + std::chrono::hours(1)));
}

TEST(Limits, OfTheRateOverALongTime) {
    // Any sequence of calls: in t seconds at most burst + rate t are let through.
    Buckets buckets({.burst = 5, .per_second = 4});
    const auto begin = Buckets::Clock::now();
    int through = 0;
    for (int ms = 0; ms <= 10'000; ms += 7) through += buckets.take("a", begin + milliseconds(ms));
    EXPECT_LE(through, 5 + 4 * 10);
    EXPECT_GE(through, 5 + 4 * 10 - 1);
}

TEST(Limits, RememberNoMoreThanTheyMay) {
    Buckets buckets({.burst = 1, .per_second = 0.001}, 100);
    const auto now = Buckets::Clock::now();
    for (int k = 0; k < 10'000; ++k) {
        buckets.take(std::to_string(k), now);
        EXPECT_TRUE(!buckets.take("known", now) || k == 0) << "who asks often is not forgotten";
    }
    EXPECT_EQ(buckets.size(), 100u);
}

TEST(Limits, AFewHandshakesOfEachAddressThenItsShareThenThatOfAll) {
    Handshakes handshakes({.few = {2, 0.001}, .peer = {5, 0.001}, .all = {8, 0.001}});
    const auto now = Buckets::Clock::now();
    const auto begun = [&](const std::string& address) {
        int count = 0;
        while (handshakes.may_begin(address, now)) ++count;
        return count;
    };
    EXPECT_EQ(begun("a"), 2 + 5);
    EXPECT_EQ(begun("b"), 2 + 3) << "all together have no more";
    EXPECT_EQ(begun("c"), 2) << "a few in any case";
    EXPECT_TRUE(handshakes.may_begin("c", now + std::chrono::hours(1)));
}

TEST(Limits, HandshakesThatNobodyFinishesGiveWay) {
    Handshakes handshakes({.few = {100, 1}, .open_of_peer = 4, .open = 6});
    const auto now = Buckets::Clock::now();
    std::vector<Peer> peers(12);
    const auto begin = [&](std::size_t k, const std::string& address) { return handshakes.began(&peers[k], address); };
    for (std::size_t k = 0; k < 4; ++k) {
        EXPECT_TRUE(handshakes.may_begin("many", now));
        EXPECT_FALSE(begin(k, "many"));
    }
    EXPECT_FALSE(handshakes.may_begin("many", now)) << "its share";
    EXPECT_TRUE(handshakes.may_begin("few", now));
    EXPECT_FALSE(begin(4, "few"));
    EXPECT_FALSE(begin(5, "other"));
    EXPECT_EQ(begin(6, "other"), &peers[0]) << "the oldest of who has most";
    EXPECT_EQ(begin(7, "few"), &peers[1]);
    EXPECT_EQ(handshakes.open(), 6u);
    for (Peer& peer : peers) handshakes.ended(&peer);
    EXPECT_EQ(handshakes.open(), 0u);
    EXPECT_TRUE(handshakes.may_begin("many", now));
}

TEST(Limits, ALearnerWhoAsksTooOftenIsToldWhenToComeBack) {
    Classroom c({.learner = {5, 0.01}});
    Person robin = c.learner("Robin"), kim = c.learner("Kim");
    for (int k = 0; k < 5; ++k) EXPECT_EQ(robin.get("/api/class/me").status, 200);
    const Reply refused = robin.get("/api/class/me");
    EXPECT_EQ(refused.status, 429);
    EXPECT_EQ(refused.code(), "too-often");
    EXPECT_FALSE(refused.headers.at("retry-after").empty());
    EXPECT_EQ(kim.get("/api/class/me").status, 200) << "the others go on";
    EXPECT_EQ(c.instructor.get("/api/class/room").status, 200);
}

TEST(Limits, CodesCannotBeGuessedFast) {
    Classroom c({.wrong_codes = {4, 0.01}});
    for (int k = 0; k < 4; ++k) EXPECT_FALSE(c.person().join("2222-2222", "A"));
    const auto join = [&] {
        return c.person().post("/api/class/join", {{"code", c.code}, {"nickname", "Robin"}});
    };
    EXPECT_EQ(join().code(), "too-often") << "also with the right one: nothing is learnt";
}

TEST(Limits, PassphrasesCannotBeTriedFast) {
    Classroom c({.wrong_passphrases = {3, 0.01}});
    const auto sign_in = [&](const std::string& words) {
        return c.person().post("/api/class/sign-in", {{"passphrase", words}});
    };
    EXPECT_EQ(sign_in(passphrase).status, 200) << "being right costs nothing";
    EXPECT_EQ(sign_in("").code(), "wrong-passphrase");
    EXPECT_EQ(sign_in(std::string(1000, 'a')).code(), "wrong-passphrase");
    EXPECT_EQ(sign_in(passphrase + " ").code(), "wrong-passphrase");
    EXPECT_EQ(sign_in(passphrase).code(), "too-often");
}

TEST(Limits, ClassAndWorkOfALearnerAreBounded) {
    Classroom c({.learners = 3, .readings = 2});
    Person robin = c.learner("Robin");
    c.learner("Kim");
    c.learner("Alex");
    EXPECT_FALSE(c.person().join(c.code, "Sam"));
    const json reading = {{"check", "ohm-1"}, {"value", "1 kΩ"}};
    EXPECT_EQ(robin.post("/api/class/reading", reading).status, 200);
    EXPECT_EQ(robin.post("/api/class/reading", reading).status, 200);
    EXPECT_EQ(robin.post("/api/class/reading", reading).code(), "too-many");
    EXPECT_EQ(robin.post("/api/class/help", {{"wanted", true}, {"about", std::string(5000, 'a')}}).status, 413);
    robin.post("/api/class/help", {{"wanted", true}, {"about", std::string(3000, 'a')}});
    EXPECT_EQ(robin.get("/api/class/me").json()["help"].get<std::string>().size(), 200u);
}

TEST(Limits, WhatTakesTimeOrMemoryIsNotGivenAgainAndAgain) {
    Classroom c({.hints = {2, 0.001}, .exports = {2, 0.001}});
    Person robin = c.learner("Robin"), kim = c.learner("Kim");
    for (Person* person : {&robin, &kim})
        ASSERT_EQ(person->post("/api/class/reading", {{"check", "ohm-1"}, {"value", "1 kΩ"}}).json()["right"], false);
    const auto hint = [](Person& person, int depth) {
        return person.post("/api/class/hint", {{"check", "ohm-1"}, {"depth", depth}});
    };
    EXPECT_EQ(hint(robin, 3).code(), "hint-first") << "refused, and not counted";
    for (int k = 0; k < 2; ++k) {
        EXPECT_EQ(hint(robin, 1).status, 200);
        EXPECT_EQ(robin.get("/api/class/me/export").status, 200);
    }
    EXPECT_EQ(hint(robin, 1).code(), "too-often");
    EXPECT_EQ(robin.get("/api/class/me/export").code(), "too-often");
    EXPECT_EQ(hint(kim, 1).status, 200) << "of each learner";
    EXPECT_EQ(kim.get("/api/class/me/export").status, 200);
    const int id = c.row("Robin")["id"];
    for (int k = 0; k < 4; ++k)
        EXPECT_EQ(c.instructor.get("/api/class/export?learner=" + std::to_string(id)).status, 200);
}

TEST(Limits, WhatIsKeptOfAnEntryIsShort) {
    Classroom c;
    Person robin = c.learner("Robin");
    for (const std::string& value :
         {"3.3" + std::string(2000, ' '), "0." + std::string(2000, '3'), std::string(2000, '0') + "1"})
        EXPECT_EQ(robin.post("/api/class/reading", {{"check", "ohm-1"}, {"value", value}}).status, 422);
    const json named = {{"check", "ohm-1"}, {"value", "1 kΩ"}, {"once", std::string(65, 'n')}};
    EXPECT_EQ(robin.post("/api/class/reading", named).status, 400);
    EXPECT_EQ(robin.get("/api/class/me").json()["checks"], json::object());
    EXPECT_EQ(robin.post("/api/class/reading", {{"check", "ohm-1"}, {"value", "1 kΩ"}, {"once", std::string(64, 'n')}})
                  .status,
              200);
}

TEST(Limits, AFourthStreamEndsTheFirst) {
    Classroom c;
    Person robin = c.learner("Robin");
    std::vector<Client> streams;
    for (int k = 0; k < 4; ++k) streams.push_back(robin.listen("/api/class/me/events"));
    EXPECT_EQ(streams[0].event().name, "me");
    EXPECT_EQ(streams[0].event(milliseconds(5000)).name, "") << "ended";
    EXPECT_EQ(streams[3].event().name, "me");
}

TEST(Limits, AStreamThatIsNotReadHoldsSoMuchAndThenEnds) {
    const auto caller = std::make_shared<Caller>();
    EventStream stream(caller, [] {}, [] {});
    stream.hold_at_most(1000);
    EXPECT_TRUE(stream.send("me", std::string(900, 'a')));
    EXPECT_FALSE(stream.send("me", std::string(900, 'a')));
    EXPECT_TRUE(caller->left());
}

TEST(Limits, SecretsDifferAndCodesAreReadable) {
    std::set<std::string> codes;
    for (int k = 0; k < 1000; ++k) {
        const std::string code = random_join_code();
        EXPECT_EQ(code.find_first_of("01ILOU"), std::string::npos) << code;
        codes.insert(plain_code(code));
    }
    EXPECT_EQ(codes.size(), 1000u);
    EXPECT_EQ(plain_code(" abcd-efgh "), "ABCDEFGH");
    EXPECT_NE(hash_of("a"), token_of("a"));
    // BLAKE2b of "abc", 32 bytes of digest (computed with Python's hashlib.blake2b(digest_size=32)).
    EXPECT_EQ(hash_of("abc"), "bddd813c634239723171ef3fee98579b94964e3bb1cb3e427262c8c068d52319");
    const std::string hash = passphrase_hash("four words");
    EXPECT_TRUE(hash.starts_with("$argon2id$v=19$m=65536,t=2,p=1$")) << hash;
    EXPECT_TRUE(is_passphrase(hash, "four words"));
    EXPECT_FALSE(is_passphrase(hash, "four wordS"));
}

}  // namespace
