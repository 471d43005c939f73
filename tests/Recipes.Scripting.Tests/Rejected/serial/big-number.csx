// R2002
var n = System.Numerics.BigInteger.Pow(9, 999999999);
