// R2002
Begin(null);
