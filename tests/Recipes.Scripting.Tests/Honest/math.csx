// note: 3 -3 2.5 8 1.41421 3 0 45 7
double degrees = Math.Atan2(1, 1) * 180 / Math.PI;
Report.Note($"{Math.Ceiling(2.1)} {Math.Floor(-2.1)} {Math.Abs(-2.5)} {Math.Pow(2, 3)} {Math.Round(Math.Sqrt(2), 5)} {Math.Max(3, 2)} {Math.Sign(0.0)} {Math.Round(degrees, 6)} {Math.DivRem(38, 5).Quotient}");
