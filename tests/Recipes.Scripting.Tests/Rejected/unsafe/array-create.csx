// R2002
Array a = Array.CreateInstance(null, 3);
