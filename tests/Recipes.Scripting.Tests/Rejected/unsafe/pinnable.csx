// R2002
ref readonly char First() => ref "abc".GetPinnableReference();
