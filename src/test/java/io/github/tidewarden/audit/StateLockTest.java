package io.github.tidewarden.audit;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatExceptionOfType;
import static org.assertj.core.api.Assertions.assertThatIOException;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class StateLockTest {

  @TempDir private Path stateDir;

  @Test
  void aSecondOneInThisProcessIsRefusedUntilTheFirstIsGivenUp() throws IOException {
    StateLock first = StateLock.acquire(stateDir);
    assertThatExceptionOfType(StateLockedException.class)
        .isThrownBy(() -> StateLock.acquire(stateDir))
        .withMessageContaining("another daemon holds");
    first.close();
    first.close();
    StateLock.acquire(stateDir).close();
  }

  @Test
  void anotherPathToTheSameDirectoryIsRefusedToo() throws IOException {
    Path link = stateDir.resolveSibling(stateDir.getFileName() + "-link");
    Files.createSymbolicLink(link, stateDir);
    try (StateLock held = StateLock.acquire(stateDir)) {
      assertThatExceptionOfType(StateLockedException.class)
          .isThrownBy(() -> StateLock.acquire(link));
    } finally {
      Files.delete(link);
    }
  }

  @Test
  void anotherProcessIsRefusedAlsoAfterASecondTryHere() throws Exception {
    try (StateLock held = StateLock.acquire(stateDir)) {
      assertThatExceptionOfType(StateLockedException.class)
          .isThrownBy(() -> StateLock.acquire(stateDir));
      assertThat(lockElsewhere().waitFor()).isEqualTo(OtherProcess.REFUSED);
    }
    Process other = lockElsewhere();
    assertThat(other.getInputStream().read()).isEqualTo('h');
    assertThatExceptionOfType(StateLockedException.class)
        .isThrownBy(() -> StateLock.acquire(stateDir));
    other.destroyForcibly().waitFor(10, TimeUnit.SECONDS);
    StateLock.acquire(stateDir).close(); // the system gave it up with the process
  }

  @Test
  void aDirectoryThatIsNotThereIsAnErrorOfItsOwn() {
    assertThatIOException()
        .isThrownBy(() -> StateLock.acquire(stateDir.resolve("missing")))
        .isNotInstanceOf(StateLockedException.class);
  }

  private Process lockElsewhere() throws IOException {
    return new ProcessBuilder(
            Path.of(System.getProperty("java.home"), "bin", "java").toString(),
            "-cp",
            System.getProperty("java.class.path"),
            OtherProcess.class.getName(),
            stateDir.toString())
        .redirectError(ProcessBuilder.Redirect.INHERIT)
        .start();
  }

  /** Takes the lock, says so, and holds it until its input ends. */
  static final class OtherProcess {
    static final int REFUSED = 75;

    private OtherProcess() {}

    public static void main(String[] args) throws IOException {
      try (StateLock held = StateLock.acquire(Path.of(args[0]))) {
        System.out.print('h');
        System.out.flush();
        while (System.in.read() >= 0) {
          // held until the parent goes
        }
      } catch (StateLockedException e) {
        System.exit(REFUSED);
      }
    }
  }
}
