// R4003 R4004 R4005
// Each type is new; which limit comes first is the machine's affair.
int Deeper<T>(int n) => Deeper<List<T>>(n + 1) + 1;
Report.Note($"{Deeper<int>(0)}");
