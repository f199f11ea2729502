"""What is shown of the files of sources: pictures with marks, cut-outs and recordings, made anew where rights allow."""
