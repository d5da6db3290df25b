package io.github.tidewarden.cli;

import ch.qos.logback.classic.Level;
import ch.qos.logback.classic.Logger;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.daemon.Exit;
import io.github.tidewarden.rehearsal.DemoBroker;
import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileVisitResult;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.SimpleFileVisitor;
import java.nio.file.attribute.BasicFileAttributes;
import java.time.LocalTime;
import java.time.ZoneId;
import java.util.Objects;
import java.util.ServiceLoader;
import org.jspecify.annotations.Nullable;
import org.slf4j.LoggerFactory;
import picocli.CommandLine.Command;

/**
 * {@code demo}: the whole job in under five minutes, on a broker of its own and simulated tanks.
 */
@Command(
    name = "demo",
    description = "Shows the whole job in under five minutes on simulated tanks.")
final class DemoVerb extends Verb {

  @Override
  Exit go() throws Exception {
    DemoBroker broker =
        ServiceLoader.load(DemoBroker.class).findFirst().orElseGet(PrivateBroker::new);
    ((Logger) LoggerFactory.getLogger("io.github.tidewarden")).setLevel(Level.WARN);
    Path directory = Files.createTempDirectory("tidewarden-demo");
    try (broker) {
      Path file = directory.resolve("harbour-demo.yaml");
      Files.writeString(file, configuration(broker.start().toString(), directory));
      Configuration configuration = read(file);
      return new Demo(
              configuration, new Stage(System.out, picocli.CommandLine.Help.Ansi.AUTO.enabled()))
          .play();
    } catch (IllegalStateException e) {
      err().println("tidewarden: " + e.getMessage());
      return Exit.UNAVAILABLE;
    } finally {
      remove(directory);
    }
  }

  /** The demo's configuration; its window began a little while ago. */
  private static String configuration(String broker, Path directory) throws IOException {
    ZoneId zone = ZoneId.systemDefault();
    LocalTime now = LocalTime.now(zone).withSecond(0).withNano(0);
    try (InputStream template =
        Objects.requireNonNull(DemoVerb.class.getResourceAsStream("demo.yaml"))) {
      return new String(template.readAllBytes(), StandardCharsets.UTF_8)
          .replace("@ZONE@", zone.getId())
          .replace("@STATE@", directory.resolve("state").toString())
          .replace("@BROKER@", broker)
          .replace("@FROM@", now.minusMinutes(2).toString())
          .replace("@TO@", now.plusMinutes(58).toString())
          .replace("@LATER@", now.plusMinutes(178).toString());
    }
  }

  private static void remove(Path directory) throws IOException {
    Files.walkFileTree(
        directory,
        new SimpleFileVisitor<>() {
          @Override
          public FileVisitResult visitFile(Path file, BasicFileAttributes attributes)
              throws IOException {
            Files.delete(file);
            return FileVisitResult.CONTINUE;
          }

          @Override
          public FileVisitResult postVisitDirectory(Path each, @Nullable IOException e)
              throws IOException {
            Files.delete(each);
            return FileVisitResult.CONTINUE;
          }
        });
  }
}
