// note: 6 WING! wing
static int Twice(this int n) => n * 2;
static string Loud(this string text) => text.ToUpperInvariant() + "!";
static T Same<T>(this T one) => one;
Report.Note($"{3.Twice()} {"wing".Loud()} {"wing".Same()}");
