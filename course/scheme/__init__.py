"""The scheme of work: what it holds, its file, and the questions that write one."""
