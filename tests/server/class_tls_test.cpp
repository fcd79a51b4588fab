// A class over TLS: encrypted by a certificate that is given, and nothing in the clear on the same port.
#include <gnutls/gnutls.h>
#include <gnutls/x509.h>

#include <ctime>

#include "classroom.h"

namespace {
using namespace voltsill::testing;
using namespace voltsill::server;

struct Pem {
    std::string certificate, key;
};

/// Signed by itself, for 127.0.0.1, for an hour.
Pem self_signed() {
    gnutls_x509_privkey_t key;
    gnutls_x509_crt_t certificate;
    gnutls_x509_privkey_init(&key);
    gnutls_x509_privkey_generate(key, GNUTLS_PK_ECDSA, GNUTLS_CURVE_TO_BITS(GNUTLS_ECC_CURVE_SECP256R1), 0);
    gnutls_x509_crt_init(&certificate);
    gnutls_x509_crt_set_version(certificate, 3);
    gnutls_x509_crt_set_key(certificate, key);
    gnutls_x509_crt_set_serial(certificate, "\x01", 1);
    gnutls_x509_crt_set_activation_time(certificate, time(nullptr) - 60);
    gnutls_x509_crt_set_expiration_time(certificate, time(nullptr) + 3600);
    const unsigned char address[] = {127, 0, 0, 1};
    gnutls_x509_crt_set_subject_alt_name(certificate, GNUTLS_SAN_IPADDRESS, address, sizeof address, GNUTLS_FSAN_SET);
    gnutls_x509_crt_sign2(certificate, certificate, key, GNUTLS_DIG_SHA256, 0);
    Pem out;
    gnutls_datum_t text{};
    gnutls_x509_crt_export2(certificate, GNUTLS_X509_FMT_PEM, &text);
    out.certificate.assign(reinterpret_cast<char*>(text.data), text.size);
    gnutls_free(text.data);
    gnutls_x509_privkey_export2(key, GNUTLS_X509_FMT_PEM, &text);
    out.key.assign(reinterpret_cast<char*>(text.data), text.size);
    gnutls_free(text.data);
    gnutls_x509_crt_deinit(certificate);
    gnutls_x509_privkey_deinit(key);
    return out;
}

/// One request over TLS that trusts this certificate alone; "" when no connection comes about.
std::string over_tls(int port, const std::string& request, const Pem& pem, const char* from = "") {
    const Client socket(port, from);
    gnutls_session_t session;
    gnutls_certificate_credentials_t trust;
    gnutls_certificate_allocate_credentials(&trust);
    const gnutls_datum_t text{reinterpret_cast<unsigned char*>(const_cast<char*>(pem.certificate.data())),
                              static_cast<unsigned>(pem.certificate.size())};
    gnutls_certificate_set_x509_trust_mem(trust, &text, GNUTLS_X509_FMT_PEM);
    gnutls_init(&session, GNUTLS_CLIENT);
    gnutls_set_default_priority(session);
    gnutls_credentials_set(session, GNUTLS_CRD_CERTIFICATE, trust);
    gnutls_session_set_verify_cert(session, "127.0.0.1", 0);
    gnutls_transport_set_int(session, socket.descriptor());
    gnutls_handshake_set_timeout(session, 20'000);
    gnutls_record_set_timeout(session, 20'000);
    std::string out;
    if (gnutls_handshake(session) == GNUTLS_E_SUCCESS) {
        gnutls_record_send(session, request.data(), request.size());
        char buffer[16384];
        for (ssize_t got; (got = gnutls_record_recv(session, buffer, sizeof buffer)) > 0;)
            out.append(buffer, static_cast<std::size_t>(got));
    }
    gnutls_deinit(session);
    gnutls_certificate_free_credentials(trust);
    return out;
}

TEST(ClassTls, IsEncryptedByTheCertificateThatIsGiven) {
    const Folder kept;
    const Pem pem = self_signed();
    ServerOptions options = class_options(kept.path("class.sqlite"));
    options.certificate = pem.certificate;
    options.key = pem.key;
    Served served(options, example_text("first-bench"));
    const int port = served.port();
    EXPECT_EQ(served.server().url(), "https://127.0.0.1:" + std::to_string(port) + "/");
    const Headers close = {{"Connection", "close"}};
    const std::string who = over_tls(port, request_bytes(port, "GET", "/api/class/who", {}, close), pem);
    EXPECT_NE(who.find("200 OK"), std::string::npos) << who;
    EXPECT_NE(who.find("\"secure\": true"), std::string::npos) << who;
    const std::string body = nlohmann::json{{"passphrase", passphrase}}.dump();
    Headers ours = close;
    ours.emplace_back("Origin", "https://127.0.0.1:" + std::to_string(port));
    const std::string in = over_tls(port, request_bytes(port, "POST", "/api/class/sign-in", body, ours), pem);
    EXPECT_NE(in.find("200 OK"), std::string::npos) << in;
    EXPECT_NE(in.find("; Secure"), std::string::npos) << "the cookie never leaves in the clear";
    ours.back().second = "http://127.0.0.1:" + std::to_string(port);
    EXPECT_NE(over_tls(port, request_bytes(port, "POST", "/api/class/sign-in", body, ours), pem).find("wrong-origin"),
              std::string::npos);
    Client plain(port);
    plain.send(request_bytes(port, "GET", "/api/class/who"));
    EXPECT_EQ(plain.reply(std::chrono::milliseconds(5000)).status, 0);
}

/// A class over TLS with these limits.
struct SecureClass {
    explicit SecureClass(const HandshakeLimits& limits, Patience patience = {}) {
        ServerOptions options = class_options(kept.path("class.sqlite"), {.handshakes = limits});
        options.certificate = pem.certificate;
        options.key = pem.key;
        options.patience = patience;
        served = std::make_unique<Served>(options, example_text("first-bench"));
    }
    bool answers(const char* from) const {
        const std::string asks = request_bytes(served->port(), "GET", "/api/class/who", {}, {{"Connection", "close"}});
        return over_tls(served->port(), asks, pem, from).find("200 OK") != std::string::npos;
    }
    Folder kept;
    Pem pem = self_signed();
    std::unique_ptr<Served> served;
};

TEST(ClassTls, WhoOnlyOpensConnectionsKeepsNobodyElseOut) {
    const SecureClass held({.few = {1000, 1}, .open_of_peer = 15, .open = 20}, {.first = std::chrono::seconds(60)});
    const int port = held.served->port();
    std::vector<Client> silent;
    for (int k = 0; k < 15; ++k) silent.emplace_back(port, "127.0.0.2");
    EXPECT_TRUE(held.answers("127.0.0.3")) << "and those before it are accepted by now";
    Client more(port, "127.0.0.2");
    EXPECT_TRUE(more.ends_within(Client::Wait(20'000))) << "no more of one address";
    for (int k = 0; k < 5; ++k) silent.emplace_back(port, "127.0.0.4");
    EXPECT_TRUE(held.answers("127.0.0.3")) << "where all places are taken the oldest gives way";
    EXPECT_TRUE(silent[0].ends_within(Client::Wait(20'000)));
    EXPECT_FALSE(silent[14].ends_within(Client::Wait(100)));
    EXPECT_FALSE(silent[19].ends_within(Client::Wait(100))) << "of the address that has most";
}

TEST(ClassTls, HandshakesHaveARateOfEachAddress) {
    const SecureClass held({.few = {1, 0.001}, .peer = {3, 0.001}, .all = {5, 0.001}});
    for (int k = 0; k < 4; ++k) EXPECT_TRUE(held.answers("127.0.0.2")) << k;
    EXPECT_FALSE(held.answers("127.0.0.2"));
    for (int k = 0; k < 3; ++k) EXPECT_TRUE(held.answers("127.0.0.3")) << k;
    EXPECT_FALSE(held.answers("127.0.0.3")) << "all together";
    EXPECT_TRUE(held.answers("127.0.0.4")) << "one of each address in any case";
}

/// A connection that has sent something is not silent; its handshake must end in the time of a silent one all the same.
TEST(ClassTls, AHandshakeThatIsNotFinishedEnds) {
    const SecureClass held({}, {.first = std::chrono::seconds(1), .sending = std::chrono::seconds(60)});
    Client half(held.served->port());
    half.send(
        std::string_view("\x16\x03\x01\x02\x00", 5));  // a record of a handshake (RFC 8446, 5.1), and no more of it
    EXPECT_TRUE(half.ends_within(Client::Wait(20'000)));
    EXPECT_TRUE(held.answers("127.0.0.1"));
}

TEST(ClassTls, AKeyThatIsNoneIsSaid) {
    const Folder kept;
    const std::string bench = kept.write("bench.toml", small_bench);
    ServerOptions options = class_options(kept.path("class.sqlite"));
    options.path = bench;
    options.certificate = "nonsense";
    auto half = Server::start(options);
    ASSERT_FALSE(half);
    EXPECT_NE(half.error().find("belong together"), std::string::npos);
    options.key = "nonsense";
    auto wrong = Server::start(options);
    ASSERT_FALSE(wrong);
    EXPECT_NE(wrong.error().find("certificate"), std::string::npos);
}

}  // namespace
