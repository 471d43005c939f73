using Recipes.Imaging;
using static Recipes.Shipped.Tests.Orders.Shapes;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>Art through which the garment shall show in places.</summary>
internal static partial class Scenes
{
    public static readonly Scene Net = new("net", 640, 640, d =>
    {
        for (int k = 1; k < 24; k++)
        {
            double far = 45 * Math.Min(k, 24 - k), from = 50 + (45 * Math.Max(0, k - 12)), to = 590 - (45 * Math.Max(0, k - 12));
            d.Stroke(Line(from, from + far, from + far, from), 5, Navy);
            d.Stroke(Line(to, from + far, to - far, from), 5, Navy);
        }

        d.Stroke(Rect(50, 50, 540, 540), 14, Brown);
        d.Fill(Oval(320, 330, 90, 60), Coral);
    });

    public static readonly Scene EveningSun = new("evening-sun", 620, 620, d =>
    {
        d.Paint(Circle(310, 310, 250), (_, y) => Between(Yellow, Coral, (y - 60) / 500));
        for (int k = 0; k < 5; k++)
        {
            d.Erase(Rect(0, 330 + (k * 46), 620, 6 + (k * 5)));
        }

        d.Stroke(Circle(310, 310, 255), 10, Maroon);
    });

    public static readonly Scene Helmet = new("diving-helmet", 560, 640, d =>
    {
        d.Fill("M80 600C80 480 140 440 140 300C140 160 200 60 280 60C360 60 420 160 420 300C420 440 480 480 480 600Z", Gold);
        d.Fill(Circle(280, 290, 110), Brown);
        d.Erase("M200 290Q280 190 360 290Q280 390 200 290Z");
        d.Fill(Rect(70, 560, 420, 50), Brown);
        d.Erase(Circle(150, 585, 12));
        d.Erase(Circle(410, 585, 12));
    });

    public static readonly Scene Card = new("card-round", 720, 560, d =>
    {
        const string card = "M90 60L630 60Q670 60 670 100L670 460Q670 500 630 500L90 500Q50 500 50 460L50 100Q50 60 90 60Z";
        d.Paint(card, (_, _) => White, Doubt.Sheet, Part.Any);
        d.Fill(Polygon((330, 100), (330, 360), (140, 360)), Sea);
        d.Fill(Polygon((350, 140), (350, 360), (520, 360)), Red);
        d.Stroke(Lettering.Text("CREW", 250, 400, 60, 0.4), 14, Navy);
    });

    public static readonly Scene Pennant = new("pennant-outlined", 760, 360, d =>
    {
        const string flag = "M40 60L700 180L40 300Z";
        d.Fill(flag, Yellow);
        d.Stroke(flag, 7, Navy);
        d.Stroke(Lettering.Text("RUN", 100, 145, 70, 0.42), 8, Navy);
    });

    public static readonly Scene CodeLabel = new("code-label", 560, 560, d => DrawSquares(d, 40, 40, 19, Navy));
}
