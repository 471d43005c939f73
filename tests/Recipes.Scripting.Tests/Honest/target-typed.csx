// note: 0 0 [] 4
List<(int X, string Name)> all = new() { new(4, "wing") };
int zero = default;
int[] none = [];
double real = default(double);
Report.Note($"{zero} {real} [{string.Join(',', none)}] {all[0].X}");
