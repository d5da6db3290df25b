package io.github.tidewarden.cli;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.github.tidewarden.audit.PlainText;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.control.Requests;
import io.github.tidewarden.daemon.DaemonException;
import io.github.tidewarden.daemon.Exit;
import io.github.tidewarden.daemon.Passwords;
import io.github.tidewarden.mqtt.Credentials;
import io.github.tidewarden.mqtt.Requester;
import io.github.tidewarden.quantity.Figures;
import java.io.IOException;
import java.net.URI;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.UUID;
import picocli.CommandLine.Option;

/** A keeper's act on the running daemon, over the broker; answered and recorded. */
abstract class ActVerb extends Verb {
  private static final Duration PATIENCE = Duration.ofSeconds(10);
  private static final ObjectMapper JSON = new ObjectMapper();

  @Option(names = "--config", required = true, paramLabel = "FILE", description = "The site.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private Path config;

  @Option(names = "--tank", required = true, paramLabel = "T", description = "The tank.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private String tank;

  @Option(names = "--by", required = true, paramLabel = "NAME", description = "Who asks.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private String by;

  @Option(names = "--watch-only", description = "Asks the daemon that only watches.")
  private boolean watchOnly;

  /** What the act is, and its own fields. */
  abstract Map<String, String> act();

  @Override
  Exit go() throws Exception {
    Configuration configuration = read(config, watchOnly);
    byte[] request = request(tank, by, act());
    String flaw = Requests.flaw(configuration.site(), request);
    if (flaw != null) {
      out().println("refused: " + PlainText.of(flaw));
      return Exit.DATA;
    }
    Optional<byte[]> answer = ask(configuration, request);
    if (answer.isEmpty()) {
      err()
          .println(
              "tidewarden: no answer from the daemon of "
                  + configuration.site().name()
                  + "; does it run, and does it reach "
                  + configuration.broker().url()
                  + "?");
      return Exit.UNAVAILABLE;
    }
    JsonNode told = told(answer.get());
    boolean done = told.path("done").asBoolean(false);
    out().println((done ? "done: " : "refused: ") + PlainText.of(told.path("what").asText()));
    return done ? Exit.OK : Exit.DATA;
  }

  private static JsonNode told(byte[] answer) throws DaemonException {
    try {
      return JSON.readTree(answer);
    } catch (IOException e) {
      throw new DaemonException(
          Exit.UNAVAILABLE, "what answered is not the daemon: its answer is not JSON");
    }
  }

  /** A request as the daemon wants it. */
  static byte[] request(String tank, String by, Map<String, String> act) throws Exception {
    Map<String, String> request = new LinkedHashMap<>(act);
    request.put("tank", tank);
    request.put("by", by);
    request.put("id", UUID.randomUUID().toString());
    request.put("sent", Figures.recordTime(Instant.now()));
    return JSON.writeValueAsBytes(request);
  }

  /** Asks the daemon of a configuration. */
  static Optional<byte[]> ask(Configuration configuration, byte[] request) throws Exception {
    Credentials credentials = Passwords.credentials(configuration.broker());
    String broker = configuration.broker().url();
    try {
      return Requester.ask(
          URI.create(broker), credentials, configuration.site().name(), request, PATIENCE);
    } catch (IOException e) {
      throw new DaemonException(
          Exit.UNAVAILABLE,
          "the broker at "
              + broker
              + " cannot be asked: "
              + Trouble.of(e)
              + "; does it run, and is `broker` of the configuration right?");
    }
  }
}
