package io.github.tidewarden.mqtt;

import io.github.tidewarden.gate.Command;
import java.time.Duration;
import java.util.Collection;
import java.util.Set;
import java.util.TreeSet;
import java.util.function.Consumer;
import org.jspecify.annotations.Nullable;

/**
 * A link that commands nothing, not even rest. It holds no more of the real link than {@link
 * Publisher}, which has no way to send a command: so none can go out, whatever the daemon decides.
 * Each command counts as obeyed, and what the real devices say of themselves, who obey another, is
 * not listened to.
 */
public final class WatchOnlyLink implements Link {

  /** What is left of a link without commands; all of it on the site's own topics. */
  private interface Publisher {
    void start(LinkListener listener);

    boolean publish(Note note);

    boolean reply(@Nullable String topic, byte @Nullable [] correlation, byte[] payload);

    void subscribe(Collection<String> topics);

    void close(Duration atMost);
  }

  private final Publisher publisher;
  private final Set<String> stateTopics;
  private final Consumer<Command> obeyed;

  /**
   * Watches over a link that is not started yet.
   *
   * @param real its commands are never called
   * @param stateTopics where devices say of themselves what they do; never subscribed to
   * @param obeyed hears each command that was not sent, on the control thread; must only enqueue
   */
  public WatchOnlyLink(Link real, Set<String> stateTopics, Consumer<Command> obeyed) {
    this.publisher = withoutCommands(real);
    this.stateTopics = Set.copyOf(stateTopics);
    this.obeyed = obeyed;
  }

  private static Publisher withoutCommands(Link real) {
    return new Publisher() {
      @Override
      public void start(LinkListener listener) {
        real.start(listener);
      }

      @Override
      public boolean publish(Note note) {
        return real.publish(note);
      }

      @Override
      public boolean reply(@Nullable String topic, byte @Nullable [] correlation, byte[] payload) {
        return real.reply(topic, correlation, payload);
      }

      @Override
      public void subscribe(Collection<String> topics) {
        real.subscribe(topics);
      }

      @Override
      public void close(Duration atMost) {
        real.close(atMost);
      }
    };
  }

  @Override
  public void start(LinkListener listener) {
    publisher.start(listener);
  }

  /** Sends nothing; the command counts as taken and obeyed. */
  @Override
  public boolean command(Command command) {
    obeyed.accept(command);
    return true;
  }

  @Override
  public boolean publish(Note note) {
    return publisher.publish(note);
  }

  @Override
  public boolean reply(
      @Nullable String responseTopic, byte @Nullable [] correlation, byte[] payload) {
    return publisher.reply(responseTopic, correlation, payload);
  }

  @Override
  public void subscribe(Collection<String> topics) {
    Set<String> heard = new TreeSet<>(topics);
    heard.removeAll(stateTopics);
    publisher.subscribe(heard);
  }

  @Override
  public void close(Duration atMost) {
    publisher.close(atMost);
  }
}
