// R2002
var b = System.Security.Cryptography.RandomNumberGenerator.GetBytes(3);
