using Recipes.Imaging;
using SkiaSharp;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>How a scene is drawn otherwise: larger or smaller, turned, a part of a px aside, in other colors.</summary>
internal sealed record Change(int Width, int Height, float Scale, SKMatrix Matrix, Func<Rgba8, Rgba8> Color)
{
    // Neutral and hardly tinted colors are white, paper, cloth and black, and stay.
    private const int Tinted = 24;

    private readonly SKMatrix back = Matrix.Invert();

    public static Change None(int width, int height) => new(width, height, 1, SKMatrix.Identity, color => color);

    /// <summary>What a seed makes of it: 0.75 to 1.3 times as large, turned by at most 9 degrees where it may be, its channels in another order.</summary>
    public static Change Of(int seed, Scene scene, bool mayTurn)
    {
        int name = scene.Name.Aggregate(seed, (sum, letter) => (sum * 31) + letter);
        float scale = (float)(0.75 + (0.55 * Shapes.Chance(name, 1))), turn = mayTurn ? (float)(18 * (Shapes.Chance(name, 2) - 0.5)) : 0;
        // What runs to the picture's edge ends there, and not within its last px.
        var matrix = mayTurn ? SKMatrix.CreateScale(scale, scale).PostConcat(SKMatrix.CreateRotationDegrees(turn))
            : SKMatrix.CreateScale((float)Math.Round(scene.Width * scale) / scene.Width, (float)Math.Round(scene.Height * scale) / scene.Height);
        var box = matrix.MapRect(new SKRect(0, 0, scene.Width, scene.Height));
        float aside = mayTurn ? (float)Shapes.Chance(name, 3) : 0, down = mayTurn ? (float)Shapes.Chance(name, 4) : 0;
        return new Change(
            (int)Math.Round(box.Width), (int)Math.Round(box.Height), scale, matrix.PostConcat(SKMatrix.CreateTranslation(aside - box.Left, down - box.Top)),
            Shuffled((int)(6 * Shapes.Chance(name, 5))));
    }

    /// <summary>The drawing's own place of a px.</summary>
    public (double X, double Y) Drawn(double x, double y)
    {
        if (Matrix.IsIdentity)
        {
            return (x, y);
        }

        var point = back.MapPoint((float)x, (float)y);
        return (point.X, point.Y);
    }

    private static Func<Rgba8, Rgba8> Shuffled(int order) => color =>
    {
        int lightest = Math.Max(color.R, Math.Max(color.G, color.B)), darkest = Math.Min(color.R, Math.Min(color.G, color.B));
        return lightest - darkest < Tinted ? color : order switch
        {
            0 => color,
            1 => new Rgba8(color.R, color.B, color.G, color.A),
            2 => new Rgba8(color.G, color.R, color.B, color.A),
            3 => new Rgba8(color.G, color.B, color.R, color.A),
            4 => new Rgba8(color.B, color.R, color.G, color.A),
            _ => new Rgba8(color.B, color.G, color.R, color.A),
        };
    };
}
