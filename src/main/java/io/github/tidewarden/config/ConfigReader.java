package io.github.tidewarden.config;

import io.github.tidewarden.control.SiteSpec;
import java.io.IOException;
import java.io.InputStream;
import java.net.URI;
import java.net.URISyntaxException;
import java.nio.file.AccessDeniedException;
import java.nio.file.Files;
import java.nio.file.InvalidPathException;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.time.LocalTime;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.List;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.snakeyaml.engine.v2.nodes.Node;

/**
 * Reads a configuration whole or not at all. Nothing is repaired or guessed: whatever is wrong is
 * complained about, everything at once, each with its place and what would be right.
 */
public final class ConfigReader {
  private static final LocalTime REVIEW_AT = LocalTime.of(7, 0);
  private static final int PLAIN_PORT = 1883;
  private static final int TLS_PORT = 8883;

  private final Section root;

  private ConfigReader(Section root) {
    this.root = root;
  }

  /**
   * Reads and checks a file.
   *
   * @throws ConfigException when it cannot be read or anything in it is wrong, with every complaint
   */
  public static Configuration read(Path file) throws ConfigException {
    return read(file, bytes(file));
  }

  /**
   * The bytes of a file, one more than is read at most.
   *
   * @throws ConfigException when it cannot be read
   */
  static byte[] bytes(Path file) throws ConfigException {
    try (InputStream in = Files.newInputStream(file)) {
      return in.readNBytes(YamlFile.MAX_BYTES + 1);
    } catch (IOException e) {
      throw new ConfigException(file.toString(), List.of(unread(file, e)));
    }
  }

  private static Complaint unread(Path file, IOException e) {
    if (Files.isDirectory(file)) {
      return new Complaint(1, 1, "this is a directory", "name the file in it");
    }
    if (e instanceof NoSuchFileException) {
      return new Complaint(1, 1, "there is no such file", "name one that is there");
    }
    if (e instanceof AccessDeniedException) {
      return new Complaint(1, 1, "this user may not read it", "make it readable for this user");
    }
    return new Complaint(1, 1, "cannot be read: " + e.getMessage(), "a file that can be read");
  }

  /**
   * Checks bytes as if they had been read from a file.
   *
   * @throws ConfigException when anything is wrong, with every complaint
   */
  public static Configuration read(Path file, byte[] bytes) throws ConfigException {
    Binding binding = new Binding();
    Node node = YamlFile.read(bytes, binding.complaints(), "a configuration begins with `site:`");
    Section root =
        node == null ? null : new Value("configuration", Place.START, node, binding).section();
    Configuration configuration =
        root == null ? null : new ConfigReader(root).bind(file, digest(bytes));
    binding.finish();
    if (configuration == null || !binding.complaints().none()) {
      throw new ConfigException(file.toString(), binding.complaints().sorted());
    }
    return configuration;
  }

  private Configuration bind(Path file, String digest) {
    SiteReader siteReader = new SiteReader(root);
    SiteSpec site = siteReader.read();
    return new Configuration(
        file,
        digest,
        site,
        siteReader.air(),
        broker(),
        path(root.required("state-dir", "/var/lib/tidewarden")).orElse(Path.of("/")),
        clock(),
        reviewAt(),
        siteReader.notices(),
        false);
  }

  private BrokerSpec broker() {
    BrokerSpec none = new BrokerSpec("", 0, false, "", null);
    Section broker = root.section("broker", "{ url: mqtt://localhost:1883 }");
    if (broker == null) {
      return none;
    }
    String user = broker.optionalText("user");
    Path password = path(broker.optional("password-file")).orElse(null);
    if (password != null && !broker.has("user")) {
      broker.complain(
          broker.place("password-file"), "`password-file` without `user`", "add `user`");
    }
    return broker
        .required("url", "mqtt://localhost:1883")
        .map(value -> address(value, user, password))
        .orElse(none);
  }

  private static @Nullable BrokerSpec address(Value value, String user, @Nullable Path password) {
    String text = value.text();
    if (text == null) {
      return null;
    }
    try {
      URI uri = new URI(text);
      boolean tls = "mqtts".equals(uri.getScheme());
      boolean plain = "mqtt".equals(uri.getScheme());
      int port = uri.getPort() == -1 ? (tls ? TLS_PORT : PLAIN_PORT) : uri.getPort();
      boolean bare =
          uri.getRawUserInfo() == null
              && uri.getRawPath().isEmpty()
              && uri.getRawQuery() == null
              && uri.getRawFragment() == null;
      if ((tls || plain) && bare && uri.getHost() != null && port > 0 && port <= 65_535) {
        return new BrokerSpec(uri.getHost(), port, tls, user, password);
      }
    } catch (URISyntaxException e) {
      // Complained about below, like every other address that is not one.
    }
    value.complain(
        "`url` is not the address of a broker", // not quoted, for it may hold a password
        "mqtt://HOST:PORT or mqtts://HOST:PORT, nothing more");
    return null;
  }

  private static Optional<Path> path(Optional<Value> value) {
    return value.flatMap(
        present -> {
          String text = present.text();
          if (text == null) {
            return Optional.empty();
          }
          try {
            Path path = Path.of(text);
            if (path.isAbsolute()) {
              return Optional.of(path);
            }
          } catch (InvalidPathException e) {
            // Complained about below.
          }
          present.complain("\"" + text + "\" is not an absolute path", "a path that begins with /");
          return Optional.empty();
        });
  }

  private ClockSpec clock() {
    ClockSpec usual = new ClockSpec(ClockSpec.TrustedWhen.SYNCHRONISED, ClockSpec.DEFAULT_MARKER);
    Section clock = root.section("clock", "{ trusted-when: synchronised }");
    if (clock == null) {
      return usual;
    }
    List<String> words =
        Arrays.stream(ClockSpec.TrustedWhen.values()).map(ClockSpec.TrustedWhen::word).toList();
    Optional<String> word =
        clock.required("trusted-when", "synchronised").map(value -> value.oneOf(words));
    Path marker = path(clock.optional("marker")).orElse(ClockSpec.DEFAULT_MARKER);
    ClockSpec.TrustedWhen trustedWhen =
        word.filter(ClockSpec.TrustedWhen.BATTERY_BACKED.word()::equals).isPresent()
            ? ClockSpec.TrustedWhen.BATTERY_BACKED
            : ClockSpec.TrustedWhen.SYNCHRONISED;
    if (trustedWhen == ClockSpec.TrustedWhen.BATTERY_BACKED && clock.has("marker")) {
      clock.complain(
          clock.place("marker"),
          "`marker` is not looked at when the clock is battery-backed",
          "take it out");
    }
    return new ClockSpec(trustedWhen, marker);
  }

  private LocalTime reviewAt() {
    Section review = root.optionalSection("review");
    return review == null
        ? REVIEW_AT
        : review.required("at", "\"07:00\"").map(WindowReader::time).orElse(REVIEW_AT);
  }

  /** SHA-256 in hexadecimal. */
  static String digest(byte[] bytes) {
    try {
      return HexFormat.of().formatHex(MessageDigest.getInstance("SHA-256").digest(bytes));
    } catch (NoSuchAlgorithmException e) {
      throw new IllegalStateException("every Java has SHA-256", e);
    }
  }
}
