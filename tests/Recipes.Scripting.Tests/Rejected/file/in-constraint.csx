// R2002
T Pass<T>(T one) where T : System.IO.Stream => one;
