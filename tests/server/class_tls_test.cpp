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
std::string over_tls(int port, const std::string& request, const Pem& pem) {
    const Client socket(port);
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
