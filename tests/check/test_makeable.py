def test_art_beside_a_cut_in_its_own_liner_reaches_over_no_fold(tmp_path):
    """The lips of a mouth fold inside the liner, which goes on beyond the ends of their folds."""
    from meshes import check, spread

    text = (
        '[pieces.bird]\nkind = "mouth"\non = "gutter"\nat = 100\nreach = 40\nlength = 70\n'
        "cut = 26\nupper = 20\nlower = 16\n"
        '[pieces.eye]\nkind = "flat"\non = "bird.left"\nx = -20\ny = 17\n'
        'outline = { shape = "ellipse", length = 8, width = 8 }\n'
    )
    (tmp_path / "bird.toml").write_text(text)
    report = check.report(check.case_of(spread.read(tmp_path / "bird.toml")))
    assert [f.text for f in report.findings if f.kind == "over a fold"] == []
