"""Earlier rotas: what a rota said on a day, remembered so that later rotas hold on to it."""
