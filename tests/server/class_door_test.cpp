// The instructor's door: guesses are slow, and nobody's guesses shut it for those who have been in.
#include <arpa/inet.h>
#include <netinet/in.h>

#include "classroom.h"
#include "server/listen.h"

namespace {
using namespace voltsill::testing;
using namespace voltsill::server;

struct Door {
    explicit Door(HallLimits limits) {
        auto lesson = make_lesson(voltsill::make_sheets(example_text("first-bench"), "bench.toml", {},
                                                        {.audience = voltsill::Audience::instructor, .slips = false}),
                                  "bench.toml");
        auto opened = Hall::open({.store = kept.path("class.sqlite"), .passphrase = passphrase, .limits = limits,
                                  .diagnosis = false}, std::move(*lesson));
        EXPECT_TRUE(opened);
        hall = std::move(*opened);
    }
    /// 200, 403 wrong, 429 too often.
    int knock(const std::string& peer, const std::string& words, const std::string& device = {}, bool here = false) {
        const Head head{.method = "POST",
                        .path = "/api/class/sign-in",
                        .query = {},
                        .headers = {},
                        .peer = peer,
                        .from_here = here};
        const auto let_in = hall->sign_in(head, device, words);
        return let_in ? 200 : let_in.error().status;
    }
    Folder kept;
    std::unique_ptr<Hall> hall;
};

TEST(ClassDoor, StrangersShutItForStrangersAlone) {
    Door door({.wrong_passphrases = {2, 0.001}, .all_wrong_passphrases = {4, 0.001}});
    const std::string known(64, 'k');
    door.hall->remember_device(known);
    for (const char* stranger : {"192.0.2.1", "192.0.2.2", "192.0.2.3", "192.0.2.4"})
        EXPECT_EQ(door.knock(stranger, "guess"), 403) << stranger;
    EXPECT_EQ(door.knock("192.0.2.5", "guess"), 429) << "all strangers together";
    EXPECT_EQ(door.knock("192.0.2.6", passphrase), 429) << "also with the right one: nothing is learnt";
    EXPECT_EQ(door.knock("192.0.2.1", passphrase, known), 200) << "a device that was in before";
    EXPECT_EQ(door.knock("127.0.0.1", passphrase, {}, true), 200) << "this machine";
}

TEST(ClassDoor, WhoIsKnownMayNotGuessFastEither) {
    Door door({.wrong_passphrases = {2, 0.001}, .all_wrong_passphrases = {100, 1}});
    const std::string known(64, 'k'), other(64, 'o');
    door.hall->remember_device(known);
    door.hall->remember_device(other);
    for (const int expected : {403, 403, 429, 429}) EXPECT_EQ(door.knock("192.0.2.1", "guess", known), expected);
    EXPECT_EQ(door.knock("192.0.2.2", passphrase, known), 429) << "from wherever";
    EXPECT_EQ(door.knock("192.0.2.1", passphrase, other), 200) << "another device";
    for (const int expected : {403, 403, 429}) EXPECT_EQ(door.knock("127.0.0.1", "guess", {}, true), expected);
    EXPECT_EQ(door.knock("192.0.2.1", passphrase), 200) << "nobody guessed as a stranger";
    EXPECT_EQ(door.knock("192.0.2.9", "guess", std::string(64, 'x')), 403)
        << "a secret nobody gave out is a stranger's";
}

TEST(ClassDoor, ADeviceIsKnownAfterItsFirstSignInAndAfterARestart) {
    const Folder kept;
    std::string known;
    {
        const Served served(class_options(kept.path("class.sqlite")), example_text("first-bench"));
        Client client(served.port());
        client.send(request_bytes(served.port(), "POST", "/api/class/sign-in",
                                  nlohmann::json{{"passphrase", passphrase}}.dump(), {}));
        const std::string cookies = client.reply().headers.at("set-cookie");
        const std::size_t at = cookies.find("voltsill-known=");
        ASSERT_NE(at, std::string::npos) << cookies;
        known = cookies.substr(at + 15, 64);
        EXPECT_NE(cookies.find("HttpOnly", at), std::string::npos);
        const std::string file = kept.read("class.sqlite") + kept.read("class.sqlite-wal");
        EXPECT_EQ(file.find(known), std::string::npos) << "kept as a hash";
    }
    auto store = voltsill::store::ClassStore::open(kept.path("class.sqlite"));
    ASSERT_TRUE(store);
    EXPECT_EQ(store->known_devices().size(), 1u);
    store->begin();
    store->set_passphrase("another");
    EXPECT_TRUE(store->commit());
    EXPECT_TRUE(store->known_devices().empty()) << "they were known by the passphrase before";
    store->begin();
    for (int k = 0; k < 40; ++k) store->add_known_device(std::to_string(k), k);
    EXPECT_TRUE(store->commit());
    EXPECT_EQ(store->known_devices().size(), 16u);
    EXPECT_EQ(store->known_devices().front(), "39");
}

sockaddr_storage socket_address(const char* text) {
    sockaddr_storage out{};
    auto &four = reinterpret_cast<sockaddr_in&>(out);
    auto &six = reinterpret_cast<sockaddr_in6&>(out);
    if (inet_pton(AF_INET, text, &four.sin_addr) == 1) four.sin_family = AF_INET;
    else if (inet_pton(AF_INET6, text, &six.sin6_addr) == 1) six.sin6_family = AF_INET6;
    return out;
}

TEST(ClassDoor, ThisMachineIsTheLoopbackAndTheAddressItself) {
    const auto from_here = [](const char* client, const char* own) {
        const sockaddr_storage a = socket_address(client), b = socket_address(own);
        return is_from_here(reinterpret_cast<const sockaddr&>(a), reinterpret_cast<const sockaddr&>(b));
    };
    EXPECT_TRUE(from_here("127.0.0.1", "127.0.0.1"));
    EXPECT_TRUE(from_here("127.8.8.8", "127.0.0.1"));  // RFC 1122, 3.2.1.3: all of 127/8
    EXPECT_TRUE(from_here("192.0.2.1", "192.0.2.1"));
    EXPECT_FALSE(from_here("192.0.2.2", "192.0.2.1"));
    EXPECT_TRUE(from_here("::1", "::1"));
    EXPECT_TRUE(from_here("2001:db8::1", "2001:db8::1"));
    EXPECT_FALSE(from_here("2001:db8::2", "2001:db8::1")) << "the same network is not the same machine";
    EXPECT_FALSE(from_here("192.0.2.1", "::1"));
}

}  // namespace
