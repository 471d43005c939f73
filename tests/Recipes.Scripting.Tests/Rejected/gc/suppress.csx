// R2002
GC.SuppressFinalize("x");
