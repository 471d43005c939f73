using System.Text;
using CsCheck;
using Recipes.Hosting.Orders;
using Recipes.Problems;

namespace Recipes.Hosting.Tests.Orders;

/// <summary>Lists of orders: read as RFC 4180 writes them, or refused at line and column.</summary>
public sealed class OrderListTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-orders-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    private string File => Path.Combine(folder, "orders.csv");

    private IReadOnlyList<Order> Read(string text)
    {
        System.IO.File.WriteAllText(File, text);
        var (orders, problems) = OrderList.Read(File);
        problems.ShouldBeEmpty();
        return orders;
    }

    private static string[][] Fields(string text) => [.. CsvText.Parse(text, "orders.csv", 1000).Select(record => record.Select(field => field.Text).ToArray())];

    private Problem[] Refused(string text)
    {
        System.IO.File.WriteAllText(File, text);
        IReadOnlyList<Problem> problems;
        try
        {
            problems = OrderList.Read(File).Problems;
        }
        catch (ProblemException e)
        {
            problems = e.Problems;
        }

        problems.ShouldNotBeEmpty(text);
        problems.ShouldAllBe(problem => problem.Where!.File == File && problem.Hint.Length > 0);
        return [.. problems];
    }

    // The examples of RFC 4180, section 2: 1, 2, 5, 6 and 7.
    [Theory]
    [InlineData("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "aaa|bbb|ccc;zzz|yyy|xxx")]
    [InlineData("aaa,bbb,ccc\r\nzzz,yyy,xxx", "aaa|bbb|ccc;zzz|yyy|xxx")]
    [InlineData("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|bbb|ccc;zzz|yyy|xxx")]
    [InlineData("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "aaa|b\nbb|ccc;zzz|yyy|xxx")]
    [InlineData("\"aaa\",\"b\"\"bb\",\"ccc\"", "aaa|b\"bb|ccc")]
    // Section 2.4: spaces belong to a field. Section 2's grammar: a field may be empty.
    [InlineData(" a , b\n,\n\n\"\",x,", " a | b;|;|x|")]
    public void Fields_are_those_of_the_standard(string text, string expected) =>
        string.Join(';', Fields(text).Select(record => string.Join('|', record))).ShouldBe(expected);

    [Fact]
    public void What_the_standards_grammar_writes_is_read_back()
    {
        var field = Gen.String[Gen.Char["ab ,;\"\n\té€"], 0, 12];
        Gen.Select(field.Array[1, 5].Array[1, 6], Gen.Bool).Holds((records, crlf) =>
        {
            // An empty line is passed over, so a record of one empty field is written with its quotes.
            string text = string.Concat(records.Select(record => string.Join(',', record.Select(value =>
                value.Length == 0 || value.IndexOfAny(['"', ',', '\n']) >= 0 ? $"\"{value.Replace("\"", "\"\"", StringComparison.Ordinal)}\"" : value)) + (crlf ? "\r\n" : "\n")));
            Fields(text).ShouldBe(records);
        });
    }

    [Fact]
    public void A_row_says_for_whom_and_when()
    {
        var orders = Read("art,recipe,garment,order,ship-by,sizes,place\n"
            + "a.png,fit-to-platen,harbor-tee,H-1042,2026-12-01,\"S 4, M 12\",left-chest\nb.png,fit-to-platen,,,,,\n");
        orders.Select(order => (order.Garment, order.OrderNumber, order.ShipBy, order.Sizes, order.Place)).ShouldBe(
            [("harbor-tee", "H-1042", new DateOnly(2026, 12, 1), "S 4, M 12", "left-chest"), (null, null, null, null, null)]);
        foreach (var (row, column) in ((string, int)[])
            [("a.png,fit-to-platen,light-garment,harbor-tee,,,,", 35), ("a.png,fit-to-platen,,,,1.12.2026,,", 24), ("a.png,fit-to-platen,,,,2026-02-30,,", 24),
                ($"a.png,fit-to-platen,,,{new string('7', 81)},,,", 23), ($"a.png,fit-to-platen,,,,,{new string('7', 81)},", 25),
                ($"a.png,fit-to-platen,,,,,,{new string('7', 81)}", 26)])
        {
            Refused($"art,recipe,setup,garment,order,ship-by,sizes,place\n{row}\n").ShouldHaveSingleItem().Where.ShouldBe(new Place(File, 2, column), row);
        }
    }

    [Fact]
    public void A_row_says_what_is_printed_and_where_from()
    {
        var orders = Read("﻿label,art,recipe,quantity,setup,output\r\n\"Fun run, men's M\",puffin.png,printable-whites,12,black-garment,puffin-m.png\r\n,art/crew.jpg,./own.csx,,,\r\n");
        orders.Select(order => (order.Number, order.Label, order.Quantity, order.Setup, order.Stem)).ShouldBe(
            [(1, "Fun run, men's M", 12, "black-garment", "puffin-m"), (2, "crew", 1, null, "crew")]);
        orders.Select(order => (order.Art, order.Recipe)).ShouldBe(
            [(Path.Combine(folder, "puffin.png"), "printable-whites"), (Path.Combine(folder, "art/crew.jpg"), Path.Combine(folder, "./own.csx"))]);
        orders[0].PlaceOf("art").ShouldBe(new Place(File, 2, 20));
        orders[1].PlaceOf("recipe").ShouldBe(new Place(File, 3, 15));
    }

    [Fact]
    public void A_row_sets_parameters_and_says_what_it_begins_with()
    {
        var orders = Read("art,recipe,set,from\na.png,b,width=4in; top = 3in ;to=../red one.json,kept\nc.png,d,\"name=a=b,c;\",file\ne.png,f,,\n");
        orders.Select(order => string.Join('|', order.Sets)).ShouldBe(["width=4in|top = 3in|to=../red one.json", "name=a=b,c", ""]);
        orders.Select(order => order.FromKept).ShouldBe([true, false, false]);
        orders.SelectMany(order => order.Sets).Select(OrderList.NameOf).ShouldBe(["width", "top ", "to", "name"]);
        string many = string.Join(';', Enumerable.Range(0, 50).Select(n => $"p{n}=1"));
        Read($"art,recipe,set\na.png,b,{many}\n").ShouldHaveSingleItem().Sets.Length.ShouldBe(50);
        foreach (string set in (string[])["width", "=4in", ";;x", "a=1;b", "a=1;a=2", "\"a=1\nb=2\"", many + ";q=1"])
        {
            Refused($"art,recipe,set\na.png,b,{set}\n").ShouldHaveSingleItem().Where.ShouldBe(new Place(File, 2, 9), set);
        }

        foreach (string from in (string[])["Kept", "step 2", " kept"])
        {
            Refused($"art,recipe,from\na.png,b,{from}\n").ShouldHaveSingleItem().Where.ShouldBe(new Place(File, 2, 9), from);
        }
    }

    [Theory]
    [InlineData("", "R6303 ,")]
    [InlineData("art,recipe\n", "R6303 ,")]
    [InlineData("art,color\na,b\n", "R6303 1,5;R6303 1,1")]
    [InlineData("art,recipe,art\na,b,c\n", "R6303 1,12")]
    [InlineData("art;recipe\na;b\n", "R6303 1,1;R6303 1,1;R6303 1,1")]
    [InlineData("art,recipe\na,b,c\nd,e\nf\n", "R6303 2,5;R6303 4,1")]
    [InlineData("art,recipe\n,b\nc,\n", "R6303 2,1;R6303 3,3")]
    [InlineData("art,recipe,quantity\na,b,0\nc,d,two\ne,f,1.5\ng,h,-1\ni,j,100001\nk,l, 2\n", "R6303 2,5;R6303 3,5;R6303 4,5;R6303 5,5;R6303 6,5;R6303 7,5")]
    [InlineData("art,recipe,output\na,b,../c\nd,e,/f\ng,h,.i\nj,k,l.tif\nm,n,.png\no,p,q\\r\n", "R6303 2,5;R6303 3,5;R6303 4,5;R6303 5,5;R6303 6,5;R6303 7,5")]
    [InlineData("art,recipe,output\na,b,con\nc,d,NUL.png\nlpt1.png,e,\nf,g,console\n", "R6303 2,5;R6303 3,5;R6303 4,12")]
    [InlineData("art,recipe,output\na.png,b,\nc/A.jpg,d,\ne.png,f,a.PNG\n", "R1009 3,11;R1009 4,9")]
    [InlineData("art,recipe\n\"a,b\n", "R6303 2,1")]
    [InlineData("art,recipe\na\"b\",c\n", "R6303 2,2")]
    [InlineData("art,recipe\n\"a\"b,c\n", "R6303 2,4")]
    [InlineData("art,recipe\n\"x\ny\",b,\"c\n", "R6303 3,6")]
    [InlineData("art,recipe\na\u001b[2J,b\n", "R6303 2,2")]
    [InlineData("art,recipe\na\rb,c\n", "R6303 2,2")]
    public void What_is_wrong_is_told_with_line_and_column(string text, string expected) =>
        string.Join(';', Refused(text).Select(problem => $"{problem.Code.Id} {problem.Where!.Line},{problem.Where.Column}")).ShouldBe(expected);

    [Fact]
    public void A_bad_field_leaves_the_others_of_its_row_to_be_looked_at()
    {
        System.IO.File.WriteAllText(File, "art,recipe,quantity\na.png,b,none\nc.png,d,2\ne.png\nf.png,g,3\n");
        var (orders, problems) = OrderList.Read(File);
        // The third row's fields are nobody's, since they match no columns.
        orders.Select(order => (order.Number, order.Stem)).ShouldBe([(1, "a"), (2, "c"), (4, "f")]);
        problems.Select(problem => problem.Where!.Line).ShouldBe([2, 4]);
    }

    [Fact]
    public void All_that_is_wrong_with_a_row_is_told_at_once()
    {
        Refused($"art,recipe,quantity,ship-by,sizes,set,from,output\n,b,none,soon,{new string('7', 81)},x;a=1;a=2;y,later,../c\n")
            .Select(problem => problem.Where!.Column).ShouldBe([1, 4, 9, 14, 96, 96, 96, 108, 114], ignoreOrder: true);
    }

    [Fact]
    public void Only_what_was_kept_needs_no_recipe()
    {
        Read("art,recipe,from,output\na.png,,kept,b\n").ShouldHaveSingleItem().Recipe.ShouldBe("");
        Refused("art,recipe,from\na.png,,file\n").ShouldHaveSingleItem().Where.ShouldBe(new Place(File, 2, 7));
        // Parameters without a recipe are nobody's.
        Refused("art,recipe,from,set\na.png,,kept,width=4in\n").ShouldHaveSingleItem().Where.ShouldBe(new Place(File, 2, 13));
    }

    [Fact]
    public void Sizes_are_bounded()
    {
        Refused("art,recipe\n" + new string('a', 5000) + ",b\n").ShouldHaveSingleItem().Message.ShouldContain("4096");
        Refused("art,recipe\n" + string.Concat(Enumerable.Range(0, 1001).Select(n => $"a{n},b\n"))).ShouldHaveSingleItem().Where!.Line.ShouldBe(1002);
        Read("art,recipe\n" + string.Concat(Enumerable.Range(0, 1000).Select(n => $"a{n},b\n"))).Count.ShouldBe(1000);
        Refused("art,recipe\n" + new string('\n', 1_100_000)).ShouldHaveSingleItem().Message.ShouldContain("1 MB");
        Refused("art,recipe\n" + string.Concat(Enumerable.Repeat(",\n", 900))).Length.ShouldBe(50);
        System.IO.File.WriteAllBytes(File, [.. "art,recipe\n"u8, 0xff, .. ",b\n"u8]);
        Should.Throw<ProblemException>(() => OrderList.Read(File)).Message.ShouldContain("UTF-8");
        foreach (string none in (string[])["none.csv", "nowhere/none.csv"])
        {
            string path = Path.Combine(folder, none), seen = Path.GetRelativePath(Directory.GetCurrentDirectory(), path);
            var missing = Should.Throw<ProblemException>(() => OrderList.Read(seen)).Problems[0];
            (missing.Code, missing.Message).ShouldBe((Codes.BadOrderList, $"There is no file {seen}."));
            missing.Hint.ShouldContain(path);
        }

        Should.Throw<ProblemException>(() => OrderList.Read(folder)).Problems[0].Code.ShouldBe(Codes.BadOrderList);
    }

    [Fact]
    public void Any_text_is_read_or_refused() => Gen.String[Gen.Char["art,recip\"\r\n\u0000;é"], 0, 60].Holds(text =>
    {
        try
        {
            _ = CsvText.Parse("art,recipe\n" + text, "orders.csv", 20);
        }
        catch (ProblemException e)
        {
            e.Problems.ShouldHaveSingleItem().Where!.Line.ShouldNotBeNull().ShouldBeLessThanOrEqualTo(2 + text.Count(c => c == '\n'));
        }
    });
}
