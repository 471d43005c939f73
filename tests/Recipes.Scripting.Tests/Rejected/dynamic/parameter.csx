// R2003
int Twice(dynamic n) => n * 2;
