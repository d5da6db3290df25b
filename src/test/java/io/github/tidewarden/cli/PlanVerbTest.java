package io.github.tidewarden.cli;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import picocli.CommandLine;

class PlanVerbTest {
  private static final String LAB = "config/harbour-lab.yaml";

  @TempDir private Path directory;
  private final StringWriter out = new StringWriter();
  private final StringWriter err = new StringWriter();

  @Test
  void printsTheFiguresOfEachTank() {
    assertThat(plan("--config", LAB)).isZero();
    assertThat(out.toString()).contains("\nlagoon, 340 L\n", "\nnursery, 60 L\n").endsWith("\n");
    assertThat(err.toString()).isEmpty();
  }

  @Test
  void printsThemForAMachine() throws IOException {
    assertThat(plan("--config", LAB, "--json")).isZero();
    assertThat(new ObjectMapper().readTree(out.toString()).at("/tanks")).hasSize(2);
  }

  @Test
  void refusesABadConfigurationWithItsPlace() throws IOException {
    Path bad =
        Files.writeString(
            directory.resolve("bad.yaml"),
            Files.readString(Path.of(LAB)).replaceFirst("holds: 120 L", "holds: 120"));

    assertThat(plan("--config", bad.toString())).isEqualTo(78);
    assertThat(err.toString()).containsPattern("bad\\.yaml:[0-9]+:[0-9]+: `holds`");
    assertThat(out.toString()).isEmpty();

    assertThat(plan("--config", bad.toString(), "--json")).isEqualTo(78);
    assertThat(new ObjectMapper().readTree(out.toString()).at("/complaints")).hasSize(1);
  }

  private int plan(String... arguments) {
    return new CommandLine(new PlanVerb())
        .setOut(new PrintWriter(out, true))
        .setErr(new PrintWriter(err, true))
        .execute(arguments);
  }
}
