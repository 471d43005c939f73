// note: 120 25 7
int Factorial(int n) => n <= 1 ? 1 : n * Factorial(n - 1);
static int Square(int n) => n * n;
Func<int, Func<int, int>> add = a => b => a + b;
Report.Note($"{Factorial(5)} {Square(5)} {add(3)(4)}");
