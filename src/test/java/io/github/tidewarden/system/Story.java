package io.github.tidewarden.system;

import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionException;

/** A long story that passes on a thread of its own, so that many can pass at the same time. */
final class Story {
  private final CompletableFuture<Void> end = new CompletableFuture<>();

  private Story() {}

  /** Begins it. */
  static Story of(Runnable told) {
    Story story = new Story();
    Thread thread =
        new Thread(
            () -> {
              try {
                told.run();
                story.end.complete(null);
              } catch (Throwable failed) {
                story.end.completeExceptionally(failed);
              }
            },
            "story");
    thread.setDaemon(true);
    thread.start();
    return story;
  }

  /**
   * Waits for its end.
   *
   * @throws Error with which it failed
   */
  void awaitEnd() {
    try {
      end.join();
    } catch (CompletionException failed) {
      throw new AssertionError("the story failed: " + failed.getCause().getMessage(), failed);
    }
  }
}
