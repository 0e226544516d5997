"""How a task file comes to be: a starter, a schema for editors, a draft from a data module."""
