"""Problems of a plan and warnings of a rota."""
