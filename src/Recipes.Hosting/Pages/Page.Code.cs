using System.Collections.Immutable;
using System.Text;
using Recipes.Hosting.Tickets;
using Recipes.Hosting.Words;

namespace Recipes.Hosting.Pages;

internal sealed partial class Page
{
    /// <summary>A QR symbol with its quiet zone, as a drawing: sharp at any size, and the same bytes each time.</summary>
    public Page Code(ImmutableArray<ImmutableArray<bool>> modules, string alt)
    {
        const int quiet = TicketCode.QuietZone;
        int side = modules.Length + (2 * quiet);
        var path = new StringBuilder();
        for (int y = 0; y < modules.Length; y++)
        {
            for (int x = 0; x < modules.Length; x++)
            {
                int start = x;
                while (x < modules.Length && modules[y][x])
                {
                    x++;
                }

                string run = $"M{Numeral.Plain(start + quiet)} {Numeral.Plain(y + quiet)}h{Numeral.Plain(x - start)}v1h-{Numeral.Plain(x - start)}z";
                path.Append(x > start ? run : "");
            }
        }

        Open("svg", ("class", "code"), ("viewBox", $"0 0 {Numeral.Plain(side)} {Numeral.Plain(side)}"), ("role", "img"), ("aria-label", alt),
            ("shape-rendering", "crispEdges"));
        Open("rect", ("width", Numeral.Plain(side)), ("height", Numeral.Plain(side)), ("fill", "#ffffff")).Close();
        Open("path", ("d", path.ToString()), ("fill", "#000000")).Close();
        return Close();
    }
}
