// note: 8 wing-2 True
delegate TOut Change<in TIn, out TOut>(TIn one);

Change<int, int> add = n => n + 5;
Change<string, string> tag = text => text + "-2";
Func<int, bool> even = static n => n % 2 == 0;
Func<int, bool> odd = n => !even(n);
T Twice<T>(T one, Change<T, T> change) => change(change(one));
Report.Note($"{add(3)} {tag("wing")} {Twice(2, n => n * 2) == 8 && odd(3)}");
