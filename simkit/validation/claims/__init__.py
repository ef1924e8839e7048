"""Claims by kind and subject: each module holds rows of the table, and how the kit comes to its own value."""
