"""What a section of a file may hold in; fields, faults in plain sentences and TOML text out."""
