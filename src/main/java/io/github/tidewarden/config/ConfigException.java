package io.github.tidewarden.config;

import java.util.List;
import java.util.stream.Collectors;

/**
 * A configuration, or a drill, that is refused, with every complaint about it in the order of the
 * file.
 */
public final class ConfigException extends Exception {
  private static final long serialVersionUID = 1;

  private final transient List<Complaint> complaints;

  ConfigException(String file, List<Complaint> complaints) {
    super(
        complaints.stream()
            .map(complaint -> file + ":" + complaint)
            .collect(Collectors.joining("\n")));
    this.complaints = List.copyOf(complaints);
  }

  /** One line a complaint: {@code FILE:LINE:COL: what is wrong; what would be right}. */
  @Override
  public String getMessage() {
    return String.valueOf(super.getMessage());
  }

  /** The complaints, never empty, sorted by place. */
  public List<Complaint> complaints() {
    return complaints;
  }
}
