// note: 8 14 6 -13 48 3 4 FF 101
int a = 12, b = 10;
uint shifted = 0x80000000u >>> 31;
Report.Note($"{a & b} {a | b} {a ^ b} {~a} {a << 2} {a >> 2} {int.PopCount(0b1111) * (int)shifted} {255:X} {5:b}");
