"""What is said: every sentence for people, one module a subject. Each takes a Say, so that it speaks their language."""
