// R4003
int Deeper<T>(int n) => Deeper<List<T>>(n + 1) + 1;
Report.Note($"{Deeper<int>(0)}");
